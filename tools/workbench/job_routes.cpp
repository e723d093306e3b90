#include <utility>

#include "tools/workbench/analysis_request.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {

void add_job_routes(Router& router, Parts& parts) {
  router.get("/api/jobs", [&](const auto&, auto& response) {
    Json jobs = Json::array();
    for (const Job& job : parts.jobs->list()) jobs.push_back(to_json(job));
    reply(response, 200, {{"jobs", std::move(jobs)}});
  });
  router.post("/api/jobs", [&](const auto& request, auto& response) {
    const Json body = object_of(request);
    const bool day = value_or<std::string>(body, "kind", "analyse") == "day";
    reply(response,
          201,
          to_json(
              parts.jobs->add(day ? parts.days.asked_for(body) : analysis_of(parts.folder, body))));
  });
  router.get("/api/jobs/([0-9a-f]+)", [&](const auto& request, auto& response) {
    reply(response, 200, to_json(parts.jobs->get(request.matches[1])));
  });
  router.post("/api/jobs/([0-9a-f]+)/cancel", [&](const auto& request, auto& response) {
    reply(response, 200, to_json(parts.jobs->cancel(request.matches[1])));
  });
  router.post("/api/jobs/([0-9a-f]+)/retry", [&](const auto& request, auto& response) {
    reply(response, 201, to_json(parts.jobs->retry(request.matches[1])));
  });
  router.remove("/api/jobs/([0-9a-f]+)", [&](const auto& request, auto& response) {
    parts.jobs->remove(request.matches[1]);
    response.status = 204;
  });
}

}  // namespace kinetics::workbench
