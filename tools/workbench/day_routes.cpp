#include <string>

#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

/// The day is worked out anew; a job that waits to do so will see what was said by then.
Json work_again(Parts& parts, const std::string& name) {
  JobRequest request = parts.days.again(name);
  for (const Job& job : parts.jobs->list()) {
    const bool same = job.request.kind == "day" && job.request.title == request.title;
    if (same && job.state == JobState::kWaiting) return to_json(job);
  }
  return to_json(parts.jobs->add(std::move(request)));
}

}  // namespace

void add_day_routes(Router& router, Parts& parts) {
  router.get("/api/days", [&](const auto&, auto& response) {
    reply(response, 200, {{"days", parts.days.list()}});
  });
  router.get("/api/days/([^/]+)", [&](const auto& request, auto& response) {
    reply(response, 200, parts.days.one(request.matches[1]));
  });
  router.post("/api/days/([^/]+)/again", [&](const auto& request, auto& response) {
    reply(response, 202, {{"job", work_again(parts, request.matches[1])}});
  });
  router.post("/api/days/([^/]+)/sets", [&](const auto& request, auto& response) {
    parts.days.tell(request.matches[1], object_of(request));
    reply(response, 202, {{"job", work_again(parts, request.matches[1])}});
  });
  router.get("/api/days/([^/]+)/filled\\.csv", [&](const auto& request, auto& response) {
    reply_text(
        response, text_in(parts.folder.day(request.matches[1], ".csv")), "text/csv; charset=utf-8");
    attach(response, request.matches[1], "csv");
  });
  router.get("/api/days/([^/]+)/page\\.html", [&](const auto& request, auto& response) {
    reply_own_page(response, text_in(parts.folder.day(request.matches[1], ".html")));
  });
}

}  // namespace kinetics::workbench
