#include "libkinetics/logbook/import_sets.h"

#include <filesystem>
#include <map>
#include <optional>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"
#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/session_index.h"
#include "libkinetics/logbook/stored_session.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

using SetKey = std::tuple<std::string, std::string, std::string, int>;

SetKey key_of(const Session& session) {
  const SetPlan& plan = *session.options.plan;
  return {session.provenance.held_on, folded(plan.lifter), folded(plan.lift), plan.set.value_or(1)};
}

/// What the logbook has: files by the digest of their source, and by the set that they count for.
struct Held {
  std::map<std::string, std::string> by_source;
  std::map<SetKey, std::string> by_set;
};

Held held_in(const sqlite::Database& db) {
  Held out;
  const sqlite::Statement files(db, "SELECT source_sha256, name FROM file WHERE state = 0");
  while (files.next()) out.by_source.emplace(files.text(0), files.text(1));
  const sqlite::Statement sets(db,
                               "SELECT day, lifter_key, lift_key, number, name FROM lifted_set "
                               "JOIN file ON file.id = file_id "
                               "WHERE state = 0 AND replaced_by = ''");
  while (sets.next()) {
    out.by_set.emplace(SetKey{sets.text(0), sets.text(1), sets.text(2), sets.whole(3)},
                       sets.text(4));
  }
  return out;
}

void use_names_of(const Roster& roster, Session& session) {
  SetPlan& plan = *session.options.plan;
  std::vector<std::string> names;
  for (const Lifter& lifter : roster.lifters) {
    names.push_back(lifter.name);
    if (!same_name(lifter.name, plan.lifter)) continue;
    plan.lifter = lifter.name;
    return;
  }
  throw Error(ErrorCode::kUnreadable,
              fmt::format("{} row {}", plan.sheet, plan.row),
              fmt::format("no lifter '{}' is in the roster", plan.lifter),
              meant_or_known(plan.lifter, names, "Add a [[lifter]]"));
}

std::string set_in_words(const Session& session) {
  const SetPlan& plan = *session.options.plan;
  return fmt::format("set {} of {}'s {} on {}",
                     plan.set.value_or(1),
                     plan.lifter,
                     plan.lift,
                     session.provenance.held_on);
}

/// A set to be stored, and the file in place of which it is to count.
struct ToStore {
  Session session;
  std::optional<std::string> in_place_of;
};

std::vector<ToStore> not_yet_held(std::vector<Session> sessions,
                                  const Held& held,
                                  IfOther if_other,
                                  Imported& out) {
  std::vector<ToStore> to_store;
  for (Session& session : sessions) {
    if (held.by_source.count(session.provenance.source_sha256) > 0) {
      ++out.known;
      continue;
    }
    const auto other = held.by_set.find(key_of(session));
    if (other == held.by_set.end()) {
      to_store.push_back({std::move(session), std::nullopt});
      continue;
    }
    if (if_other == IfOther::kRefuse) {
      throw Error(ErrorCode::kUsage,
                  fmt::format("{} row {}", session.options.plan->sheet, session.options.plan->row),
                  fmt::format("{} is in the logbook already, with other numbers ({})",
                              set_in_words(session),
                              other->second),
                  "Take these rows out, give the set another number, or import with --correct to "
                  "let them count in place of that session, which is kept");
    }
    to_store.push_back({std::move(session), other->second});
  }
  return to_store;
}

void tell_of_correction(Session& session, const fs::path& folder, const std::string& file) {
  session.provenance.supersedes = file;
  session.corrections =
      read_whole((folder / file).string(), SessionPart::kSummary).session.corrections;
  session.corrections.push_back({.made_at = now_in_iso(),
                                 .of_file = file,
                                 .what = "numbers imported anew",
                                 .before = file,
                                 .after = session.options.plan->sheet});
}

std::string name_of(const Session& session) {
  const SetPlan& plan = *session.options.plan;
  return fmt::format(
      "{}_{}_{}_{}", session.provenance.held_on, plan.lifter, plan.lift, plan.set.value_or(1));
}

}  // namespace

Imported import_sets(SetsRead sets,
                     const std::string& logbook,
                     const Roster* roster,
                     IfOther if_other) {
  if (roster != nullptr) {
    for (Session& session : sets.sessions) use_names_of(*roster, session);
  }
  make_logbook_folder(logbook);
  const fs::path folder(logbook);
  const FolderLock lock(folder);
  Imported out;
  out.notes = std::move(sets.notes);
  const Held held = held_in(SessionIndex(folder, &lock).db());
  for (ToStore& next : not_yet_held(std::move(sets.sessions), held, if_other, out)) {
    if (next.in_place_of) {
      tell_of_correction(next.session, folder, *next.in_place_of);
      ++out.corrected;
    }
    out.stored.push_back(store_session_as(next.session, logbook, name_of(next.session)));
  }
  return out;
}

}  // namespace kinetics
