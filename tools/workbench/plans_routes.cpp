#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/zone.h"
#include "libkinetics/report/compare_table.h"
#include "libkinetics/report/loading_sheet.h"
#include "libkinetics/report/plan_table.h"
#include "libkinetics/report/profile_data.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/compare_spans.h"
#include "libkinetics/training/expectation.h"
#include "libkinetics/training/next_loading.h"
#include "tools/workbench/club.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"
#include "tools/workbench/set_choice.h"

namespace kinetics::workbench {
namespace {

constexpr int kDrawnLoads = 41;

std::optional<std::string> asked(const httplib::Request& request, const char* key) {
  const std::string value = request.get_param_value(key);
  return value.empty() ? std::nullopt : std::optional(value);
}

/// Profiles of what was asked for, speaking the unit that was asked for, and all that their lines
/// may lean on.
struct Found {
  std::shared_ptr<const FittedClub> fitted;
  std::vector<Profile> wanted;
};

Found profiles_for(Parts& parts, const httplib::Request& request) {
  const auto lifter = asked(request, "lifter");
  const auto lift = asked(request, "lift");
  Found out{.fitted = parts.fitted.of(lift), .wanted = {}};
  for (const Profile& p : out.fitted->club.profiles) {
    if (lifter && !same_name(p.variant.lifter, *lifter)) continue;
    if (lift && !same_name(p.variant.lift, *lift)) continue;
    out.wanted.push_back(p);
    out.wanted.back().unit = unit_asked_for(request).value_or(p.unit);
  }
  if (out.wanted.empty()) {
    throw Refusal(404,
                  "not_found",
                  lifter.value_or("profile"),
                  "no set of this lifter and lift is in the logbook",
                  "Measure one, saying who lifted");
  }
  return out;
}

/// A document of the report room with the club's notes beside it.
Json with_notes(const std::string& document, const Notes& notes) {
  Json out = Json::parse(document);
  out["notes"] = Json::array();
  for (const Note& note : notes) out["notes"].push_back(note_json(note));
  return out;
}

Json profiles(Parts& parts, const httplib::Request& request) {
  const Found found = profiles_for(parts, request);
  std::vector<const Profile*> wanted;
  for (const Profile& p : found.wanted) wanted.push_back(&p);
  return with_notes(profiles_json(wanted, kDrawnLoads), found.fitted->club.notes);
}

Json zones(Parts& parts, const httplib::Request& request) {
  const Found found = profiles_for(parts, request);
  const FittedClub& fitted = *found.fitted;
  Notes notes = fitted.club.notes;
  std::vector<ZoneOf> zones;
  for (const Profile& p : found.wanted) {
    std::vector<LoadSetup> setups;
    if (fitted.roster) setups = usual_setups(*fitted.roster, p, fitted.sets, notes);
    zones.push_back({.profile = &p, .zone = find_zone(p, setups)});
  }
  return with_notes(zones_json(zones, kDrawnLoads), notes);
}

std::optional<TrainingPlan> plan_in(const Folder& folder) {
  std::error_code failed;
  if (!std::filesystem::exists(folder.plan(), failed)) return std::nullopt;
  return parse_training_plan(text_in(folder.plan()), folder.plan().filename().string());
}

NextOptions next_options(const httplib::Request& request) {
  NextOptions out{.day = std::nullopt, .lift = asked(request, "lift")};
  const auto day = asked(request, "day");
  if (!day) return out;
  out.day = day_in(*day);
  if (!out.day) {
    throw Error(ErrorCode::kUsage,
                "day " + *day,
                "this is no day of the calendar",
                "Write year, month and day: 2031-03-07");
  }
  return out;
}

struct NextSession {
  NextPlan plan;
  Roster roster;
};

NextSession next_session(const Parts& parts, const httplib::Request& request) {
  const NextOptions options = next_options(request);
  const std::optional<TrainingPlan> plan = plan_in(parts.folder);
  const std::optional<Roster> roster = roster_in(parts.folder);
  if (!plan || !roster) {
    throw Refusal(404,
                  "not_found",
                  plan ? "roster.toml" : "plan.toml",
                  plan ? "the logbook holds no roster" : "the logbook holds no plan",
                  plan ? "Write it on the page Club" : "Write it on the page The plan");
  }
  const History history = read_history(parts.folder.root().string());
  NextPlan next =
      next_plan(*plan, *roster, history.sets, expectation_as_of(history.sets, *roster), options);
  next.notes.insert(next.notes.end(), history.notes.begin(), history.notes.end());
  return {std::move(next), *roster};
}

void send_loading_sheet(const Parts& parts,
                        const httplib::Request& request,
                        httplib::Response& response) {
  const auto paper = asked(request, "paper");
  if (paper && paper != "a4" && paper != "letter")
    refuse_key("paper", "it is neither a4 nor letter");
  const NextSession next = next_session(parts, request);
  reply_own_page(response,
                 loading_sheet(next.plan,
                               next.roster.club,
                               unit_asked_for(request).value_or(next.roster.unit),
                               paper == "letter" ? Paper::kLetter : Paper::kA4));
}

/// The lift asked for, as the logbook spells it, else the one with most sessions.
std::string lift_of(const std::optional<std::string>& asked_for,
                    const std::vector<std::string>& lifts,
                    const std::vector<LiftedSession>& sessions) {
  const auto count = [&](const std::string& lift) {
    return std::count_if(sessions.begin(), sessions.end(), [&](const LiftedSession& s) {
      return same_name(s.lift, lift);
    });
  };
  if (!asked_for) {
    return *std::max_element(lifts.begin(), lifts.end(), [&](const auto& a, const auto& b) {
      return count(a) < count(b);
    });
  }
  for (const std::string& lift : lifts) {
    if (same_name(lift, *asked_for)) return lift;
  }
  throw Error(ErrorCode::kUsage,
              "lift " + *asked_for,
              "the logbook holds no session of this lift",
              meant_or_known(*asked_for, lifts, "Measure sessions of it first"));
}

/// Where a wave of this name stands among them; `otherwise` when none is asked for.
std::size_t place_of(const std::optional<std::string>& name,
                     const std::vector<CompareSpan>& waves,
                     std::size_t otherwise) {
  if (!name) return otherwise;
  for (std::size_t i = 0; i < waves.size(); ++i) {
    if (waves[i].name == *name) return i;
  }
  std::string known;
  for (const CompareSpan& wave : waves) known += (known.empty() ? "" : ", ") + wave.name;
  throw Error(ErrorCode::kUsage, *name, "this lift has no such wave", "It has " + known);
}

/// The waves asked for, else the last two. Error{kUsage} when that makes no earlier and later one.
std::pair<CompareSpan, CompareSpan> spans_of(const httplib::Request& request,
                                             const std::vector<CompareSpan>& waves) {
  if (waves.size() < 2) {
    throw Error(ErrorCode::kUsage,
                "waves",
                "fewer than two waves of this lift are in the logbook",
                "Waves are compared once a second one has begun");
  }
  const std::size_t after = place_of(asked(request, "after"), waves, waves.size() - 1);
  const std::size_t before = place_of(asked(request, "before"), waves, after > 0 ? after - 1 : 0);
  if (before >= after) {
    throw Error(ErrorCode::kUsage,
                fmt::format("{} against {}", waves[after].name, waves[before].name),
                "the first of the two is not the earlier one",
                "Choose an earlier and a later wave");
  }
  return {waves[before], waves[after]};
}

Json compared(const httplib::Request& request,
              const LiftedSessions& lifted,
              const Notes& history_notes,
              const std::string& lift,
              const std::vector<CompareSpan>& waves) {
  const auto [before, after] = spans_of(request, waves);
  CompareReport report;
  report.main = compare(lifted.sessions, lift, before, after);
  report.sessions = session_by_session(lifted.sessions, lift, after);
  for (const Notes* notes : {&lifted.notes, &history_notes}) {
    report.main.notes.insert(report.main.notes.end(), notes->begin(), notes->end());
  }
  return Json::parse(to_json(report));
}

Json comparison(const Parts& parts, const httplib::Request& request) {
  const History history = read_history(parts.folder.root().string());
  const LiftedSessions lifted = lifted_sessions(history.sets);
  const std::vector<std::string> lifts = lifts_in(lifted.sessions);
  if (lifts.empty()) {
    throw Refusal(404,
                  "not_found",
                  "logbook",
                  "no session in it says who lifted what on which day",
                  "Say who lifted, and when, for the sets measured");
  }
  const std::string lift = lift_of(asked(request, "lift"), lifts, lifted.sessions);
  const std::optional<TrainingPlan> plan = plan_in(parts.folder);
  const auto waves = waves_of(plan ? &*plan : nullptr, lift, lifted.sessions);
  Json out = {{"lifts", lifts},
              {"lift", lift},
              {"waves", Json::array()},
              {"comparison", nullptr},
              {"why_not", nullptr}};
  for (const CompareSpan& wave : waves) {
    out["waves"].push_back(
        {{"name", wave.name}, {"from", in_iso(wave.from)}, {"to", in_iso(wave.to)}});
  }
  try {
    out["comparison"] = compared(request, lifted, history.notes, lift, waves);
  } catch (const Error& error) {
    if (error.code() != ErrorCode::kUsage) throw;
    out["why_not"] = error_json(error);
  }
  return out;
}

}  // namespace

Json can_of(Parts& parts) {
  Json out = Json::array({"plan-text"});
  if (parts.store.knows_sets(SessionStore::Day::kAny)) {
    out.push_back("profile");
    out.push_back("zone");
  }
  if (parts.store.knows_sets(SessionStore::Day::kKnown)) out.push_back("compare");
  std::error_code failed;
  if (std::filesystem::exists(parts.folder.plan(), failed) &&
      std::filesystem::exists(parts.folder.roster(), failed)) {
    out.push_back("plan");
  }
  return out;
}

void add_plans_routes(Router& router, Parts& parts) {
  router.get("/api/profile", [&](const auto& request, auto& response) {
    reply(response, 200, profiles(parts, request));
  });
  router.get("/api/zone", [&](const auto& request, auto& response) {
    reply(response, 200, zones(parts, request));
  });
  router.get("/api/plan", [&](const auto& request, auto& response) {
    const std::string plan = to_json(next_session(parts, request).plan);
    reply_text(response, plan, "application/json; charset=utf-8");
  });
  router.get("/api/plan/loading_sheet\\.html", [&](const auto& request, auto& response) {
    send_loading_sheet(parts, request, response);
  });
  router.get("/api/compare", [&](const auto& request, auto& response) {
    reply(response, 200, comparison(parts, request));
  });
  router.get("/api/plan-text",
             [&](const auto&, auto& response) { reply(response, 200, plan_json(parts.folder)); });
  router.put("/api/plan-text", [&](const auto& request, auto& response) {
    const Json body = object_of(request);
    write_plan(parts.folder, needed<std::string>(body, "text"), revision_in(body));
    parts.events.tell("club", "{}");
    reply(response, 200, plan_json(parts.folder));
  });
  router.post("/api/plan-text/check", [&](const auto& request, auto& response) {
    reply(response, 200, checked_plan(needed<std::string>(object_of(request), "text")));
  });
}

}  // namespace kinetics::workbench
