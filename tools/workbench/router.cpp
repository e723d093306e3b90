#include <utility>

#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {

std::optional<MassUnit> unit_asked_for(const httplib::Request& request) {
  const std::string unit = request.get_param_value("unit");
  if (unit.empty()) return std::nullopt;
  if (unit != "kg" && unit != "lb") refuse_key("unit", "it is neither kg nor lb");
  return unit == "lb" ? MassUnit::kPound : MassUnit::kKilogram;
}

// The guard looks only once the body has been read: what is left of a refused request in the
// connection would else be taken for the next one, and a foreign page could write it there.
Router::Handler Router::guarded(Handler handler) const {
  return [&guard = guard_, handler = std::move(handler)](const httplib::Request& request,
                                                         httplib::Response& response) {
    try {
      guard.check(request);
      handler(request, response);
    } catch (...) {
      reply_error(response, std::current_exception());
    }
    if (!response.has_header("Cache-Control")) response.set_header("Cache-Control", "no-store");
  };
}

void Router::get(const std::string& pattern, Handler handler) {
  server_.Get(pattern, guarded(std::move(handler)));
}
void Router::post(const std::string& pattern, Handler handler) {
  server_.Post(pattern, guarded(std::move(handler)));
}
void Router::put(const std::string& pattern, Handler handler) {
  server_.Put(pattern, guarded(std::move(handler)));
}
void Router::remove(const std::string& pattern, Handler handler) {
  server_.Delete(pattern, guarded(std::move(handler)));
}

}  // namespace kinetics::workbench
