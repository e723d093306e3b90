#include <string>

#include "tools/workbench/club.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

void add_roster(Router& router, Parts& parts) {
  router.get("/api/roster",
             [&](const auto&, auto& response) { reply(response, 200, roster_json(parts.folder)); });
  router.put("/api/roster", [&](const auto& request, auto& response) {
    const Json body = object_of(request);
    write_roster(parts.folder, needed<std::string>(body, "text"), revision_in(body));
    parts.events.tell("club", "{}");
    reply(response, 200, roster_json(parts.folder));
  });
  router.post("/api/roster/check", [&](const auto& request, auto& response) {
    reply(response, 200, checked_roster(needed<std::string>(object_of(request), "text")));
  });
}

void add_sheets(Router& router, Parts& parts) {
  router.get("/api/sheets",
             [&](const auto&, auto& response) { reply(response, 200, sheets_json(parts.folder)); });
  router.get("/api/sheets/([^/]+)", [&](const auto& request, auto& response) {
    reply(response, 200, sheet_json(parts.folder, request.matches[1]));
  });
  router.put("/api/sheets/([^/]+)", [&](const auto& request, auto& response) {
    const Json body = object_of(request);
    const std::string name = request.matches[1];
    write_sheet(parts.folder, name, needed<std::string>(body, "text"), revision_in(body));
    parts.events.tell("club", "{}");
    reply(response, 200, sheet_json(parts.folder, name));
  });
  router.post("/api/sheets/([^/]+)/check", [&](const auto& request, auto& response) {
    const std::string name = request.matches[1];
    reply(response,
          200,
          checked_sheet(parts.folder, name, needed<std::string>(object_of(request), "text")));
  });
  router.post("/api/sheets/([^/]+)/new", [&](const auto& request, auto& response) {
    const std::string name = request.matches[1];
    make_sheet(parts.folder, name);
    parts.events.tell("club", "{}");
    reply(response, 201, sheet_json(parts.folder, name));
  });
}

}  // namespace

void add_club_routes(Router& router, Parts& parts) {
  add_roster(router, parts);
  add_sheets(router, parts);
}

}  // namespace kinetics::workbench
