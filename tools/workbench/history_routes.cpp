#include <optional>
#include <string>
#include <vector>

#include "libkinetics/logbook/history.h"
#include "libkinetics/report/json.h"
#include "libkinetics/report/sticking_sets.h"
#include "libkinetics/report/sticking_table.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

HistoryFilter filter_in(const httplib::Request& request) {
  const auto one = [&](const char* key) {
    const std::string value = request.get_param_value(key);
    return value.empty() ? std::nullopt : std::optional(value);
  };
  return {
      .lifter = one("lifter"), .lift = one("lift"), .from_day = one("from"), .to_day = one("to")};
}

std::vector<StickingMap> maps_of(Parts& parts, const httplib::Request& request) {
  std::vector<MappedSet> sets;
  for (const SessionEntry& entry :
       list_sessions(parts.folder.root().string(), filter_in(request)).sessions) {
    if (!entry.problem.empty() || !entry.replaced_by.empty() || entry.lifter.empty()) continue;
    const std::string id = std::filesystem::path(entry.file).stem().string();
    sets.push_back(mapped_set(*parts.store.load(id), entry.file));
  }
  if (sets.empty()) {
    throw not_found("sticking map", "no session tells of this lifter and lift");
  }
  return sticking_maps(sets, unit_asked_for(request));
}

}  // namespace

void add_history_routes(Router& router, Parts& parts) {
  router.get("/api/history", [&](const auto& request, auto& response) {
    const History history = read_history(parts.folder.root().string(), filter_in(request));
    reply_text(response, to_json(history.sets, history.notes), "application/json; charset=utf-8");
  });
  router.get("/api/sticking\\.svg", [&](const auto& request, auto& response) {
    reply_text(response, to_svg(maps_of(parts, request)), "image/svg+xml");
  });
  router.get("/api/sticking\\.txt", [&](const auto& request, auto& response) {
    reply_text(response, sticking_table(maps_of(parts, request)), "text/plain; charset=utf-8");
  });
}

}  // namespace kinetics::workbench
