#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/loading/mass.h"
#include "tools/workbench/days.h"
#include "tools/workbench/events.h"
#include "tools/workbench/fitted_clubs.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/guard.h"
#include "tools/workbench/http.h"
#include "tools/workbench/jobs.h"
#include "tools/workbench/pairing.h"
#include "tools/workbench/pictures.h"
#include "tools/workbench/reply.h"
#include "tools/workbench/session_store.h"
#include "tools/workbench/uploads.h"

/// What the routes work with.

namespace kinetics::workbench {

struct Parts {
  Folder folder;
  bool lan = false;
  int port = 0;
  std::filesystem::path samples;
  Pairing pairing;
  EventHub events{};
  SessionStore store{folder};
  Days days{folder, store};
  FittedClubs fitted{folder, store};
  Uploads uploads{folder};
  Pictures pictures{};
  std::optional<Jobs> jobs{};  ///< last in, first out: its threads use all of the above
};

/// Every address at which a browser may find this server, its own machine's first.
[[nodiscard]] std::vector<std::string> addresses_of(const Parts& parts);

/// The address that carries the pairing code, for a phone.
[[nodiscard]] std::string pairing_link(const Parts& parts);

/// Which addresses over many sessions can answer: a list of words, see the API.
[[nodiscard]] Json can_of(Parts& parts);

/// "unit" of a request's address: kg or lb. Refusal 400 for another word.
[[nodiscard]] std::optional<MassUnit> unit_asked_for(const httplib::Request& request);

/// Hangs handlers onto the server, each behind the guard and with its errors answered.
class Router {
 public:
  using Handler = std::function<void(const httplib::Request&, httplib::Response&)>;

  Router(httplib::Server& server, const Guard& guard) : server_(server), guard_(guard) {}

  void get(const std::string& pattern, Handler handler);
  void post(const std::string& pattern, Handler handler);
  void put(const std::string& pattern, Handler handler);
  void remove(const std::string& pattern, Handler handler);

 private:
  [[nodiscard]] Handler guarded(Handler handler) const;

  httplib::Server& server_;
  const Guard& guard_;
};

void add_state_routes(Router& router, Parts& parts);  // state, pairing, events, sample day
void add_file_routes(Router& router, Parts& parts);   // files and uploads
void add_job_routes(Router& router, Parts& parts);
void add_session_routes(Router& router, Parts& parts);  // sessions, pictures, corrections, exports
void add_day_routes(Router& router, Parts& parts);      // whole days
void add_club_routes(Router& router, Parts& parts);     // roster and sheets
void add_history_routes(Router& router, Parts& parts);  // over many sessions
void add_plans_routes(Router& router, Parts& parts);    // profiles, zones, plan, waves compared
void add_page_routes(Router& router);

}  // namespace kinetics::workbench
