#include <chrono>
#include <memory>

#include <fmt/format.h>

#include "libkinetics/session/version.h"
#include "tools/workbench/analysis_request.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/qr.h"
#include "tools/workbench/reply.h"
#include "tools/workbench/sample_day.h"

namespace kinetics::workbench {
namespace {

Json state_of(Parts& parts) {
  const bool empty = parts.store.empty();
  return {{"version", version()},
          {"logbook", parts.folder.root().filename().string()},
          {"lan", parts.lan},
          {"empty", empty},
          {"sample_day", !parts.samples.empty()},
          {"can", can_of(parts)},
          {"free_bytes", parts.folder.free_bytes()},
          {"upload", {{"largest_bytes", kLargestUploadBytes}, {"chunk_bytes", kChunkBytes}}},
          {"addresses", addresses_of(parts)},
          {"options", option_ranges()}};
}

void pair(Parts& parts, const httplib::Request& request, httplib::Response& response) {
  if (!parts.lan) throw not_found("pairing", "this workbench is not open to the network");
  const auto code = needed<std::string>(object_of(request), "code");
  response.set_header("Set-Cookie", cookie_for(parts.pairing.pair(code, request.remote_addr)));
  response.status = 204;
}

void show_pairing(Parts& parts, const httplib::Request& request, httplib::Response& response) {
  if (!parts.lan) throw not_found("pairing", "this workbench is not open to the network");
  if (!Guard::from_here(request)) {
    throw Refusal(
        403, "forbidden", "pairing", "the code is shown on the laptop only", "Look at the laptop");
  }
  const std::string link = pairing_link(parts);
  reply(response, 200, {{"code", parts.pairing.code()}, {"link", link}, {"svg", qr_svg(link)}});
}

void stream_events(Parts& parts, httplib::Response& response) {
  const std::shared_ptr<Listener> listener =
      parts.events.listen([&parts] { return parts.jobs->greeting(); });
  if (!listener) {
    throw Refusal(503, "ending", "events", "the workbench is being ended", "Start it again");
  }
  response.set_header("Cache-Control", "no-store");
  response.set_chunked_content_provider(
      "text/event-stream", [listener](std::size_t, httplib::DataSink& sink) {
        // A comment now and then: only by writing does one learn that a page went away.
        constexpr std::chrono::seconds kPatience{2};
        const std::optional<std::string> next = listener->next(kPatience);
        if (!next) {
          sink.done();
          return true;
        }
        const std::string text = next->empty() ? ":\n\n" : *next;
        return sink.write(text.data(), text.size());
      });
}

void bring_sample_day(Parts& parts, httplib::Response& response) {
  if (parts.samples.empty()) throw not_found("sample day", "the samples are not installed");
  Json jobs = Json::array();
  for (JobRequest& request : copy_sample_day(parts.samples, parts.folder)) {
    jobs.push_back(to_json(parts.jobs->add(std::move(request))));
  }
  parts.events.tell("files", "{}");
  parts.events.tell("club", "{}");
  reply(response, 201, {{"jobs", std::move(jobs)}});
}

}  // namespace

std::vector<std::string> addresses_of(const Parts& parts) {
  std::vector<std::string> out{fmt::format("http://127.0.0.1:{}", parts.port)};
  if (!parts.lan) return out;
  for (const std::string& address : network_addresses()) {
    out.push_back(fmt::format("http://{}:{}", address, parts.port));
  }
  return out;
}

// The code stands behind the #, which a browser keeps to itself.
std::string pairing_link(const Parts& parts) {
  return fmt::format("{}/#pair={}", addresses_of(parts).back(), parts.pairing.code());
}

void add_state_routes(Router& router, Parts& parts) {
  router.get("/api/state",
             [&](const auto&, auto& response) { reply(response, 200, state_of(parts)); });
  router.post("/api/pair",
              [&](const auto& request, auto& response) { pair(parts, request, response); });
  router.get("/api/pairing",
             [&](const auto& request, auto& response) { show_pairing(parts, request, response); });
  router.get("/api/events", [&](const auto&, auto& response) { stream_events(parts, response); });
  router.post("/api/sample-day",
              [&](const auto&, auto& response) { bring_sample_day(parts, response); });
}

}  // namespace kinetics::workbench
