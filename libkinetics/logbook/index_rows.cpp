#include "libkinetics/logbook/index_rows.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/logbook/replaced.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

using sqlite::Database;
using sqlite::Statement;

constexpr const char* kTables = R"(
DROP TABLE IF EXISTS file;
DROP TABLE IF EXISTS superseded;
DROP TABLE IF EXISTS lifted_set;
DROP TABLE IF EXISTS lifted_rep;
CREATE TABLE file(
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  size INTEGER NOT NULL,
  changed_ns INTEGER NOT NULL,
  state INTEGER NOT NULL DEFAULT 0,    -- see IndexedState
  problem TEXT NOT NULL DEFAULT '',
  seal TEXT NOT NULL DEFAULT '',
  day TEXT NOT NULL DEFAULT '',
  analysed_at TEXT NOT NULL DEFAULT '',
  made_at TEXT NOT NULL DEFAULT '',    -- of the analysis or its last correction
  source_name TEXT NOT NULL DEFAULT '',
  source_sha256 TEXT NOT NULL DEFAULT '',
  supersedes TEXT NOT NULL DEFAULT '',
  replaced_by TEXT NOT NULL DEFAULT '',
  first_s REAL NOT NULL DEFAULT 0,
  last_s REAL NOT NULL DEFAULT 0,
  reps INTEGER NOT NULL DEFAULT 0,
  fastest_mps REAL,
  fastest_sigma_mps REAL);
CREATE TABLE superseded(file_id INTEGER NOT NULL, name TEXT NOT NULL);
CREATE TABLE lifted_set(
  id INTEGER PRIMARY KEY,              -- grows with the set's place in its file
  file_id INTEGER NOT NULL,
  start TEXT NOT NULL,
  lifter TEXT NOT NULL,
  lift TEXT NOT NULL,
  lifter_key TEXT NOT NULL,            -- folded, as names are compared
  lift_key TEXT NOT NULL,
  bar TEXT NOT NULL,
  box_height_m REAL,
  accommodating TEXT NOT NULL,
  stated_load_kg REAL NOT NULL,
  in_pounds INTEGER NOT NULL,
  number INTEGER NOT NULL);
CREATE INDEX set_of_file ON lifted_set(file_id);
CREATE INDEX set_of_lifter ON lifted_set(lifter_key, lift_key);
)";

std::string parameters(std::size_t count) {
  std::string out = "?";
  for (std::size_t i = 1; i < count; ++i) out += ", ?";
  return out;
}

std::int64_t last_id(const Database& db) {
  return sqlite3_last_insert_rowid(db.get());
}

void forget(const Database& db, const std::string& name) {
  for (const char* const text :
       {"DELETE FROM lifted_rep WHERE set_id IN (SELECT lifted_set.id FROM lifted_set "
        "JOIN file ON file.id = file_id WHERE name = ?)",
        "DELETE FROM lifted_set WHERE file_id IN (SELECT id FROM file WHERE name = ?)",
        "DELETE FROM superseded WHERE file_id IN (SELECT id FROM file WHERE name = ?)",
        "DELETE FROM file WHERE name = ?"}) {
    Statement(db, text).with(name).run();
  }
}

Measured fastest_of(const std::vector<Rep>& reps) {
  Measured out;
  for (const Rep& rep : reps) {
    const Measured& v = rep.mean_velocity_mps;
    if (rep.kind == RepKind::kFull && v.ok() && (!out.ok() || v.value() > out.value())) out = v;
  }
  return out;
}

std::string made_at(const Session& session) {
  const std::string& analysed = session.provenance.analysed_at;
  if (session.corrections.empty()) return analysed;
  return std::max(analysed, session.corrections.back().made_at);
}

std::int64_t put_file(const Database& db,
                      const std::string& name,
                      const FileState& state,
                      const StoredSession& stored) {
  const Session& session = stored.session;
  const Provenance& from = session.provenance;
  Statement row(db,
                "INSERT INTO file(name, size, changed_ns, seal, day, analysed_at, made_at, "
                "source_name, source_sha256, supersedes, first_s, last_s, reps, fastest_mps, "
                "fastest_sigma_mps) VALUES (" +
                    parameters(15) + ")");
  row.with(name,
           state.size,
           state.changed_ns,
           stored.seal,
           from.held_on,
           from.analysed_at,
           made_at(session),
           from.source_name,
           from.source_sha256,
           from.supersedes,
           session.reps.empty() ? 0.0 : session.reps.front().start_s,
           session.reps.empty() ? 0.0 : session.reps.back().end_s,
           static_cast<std::int64_t>(session.reps.size()));
  bind_measured(row, 14, fastest_of(session.reps));
  row.run();
  return last_id(db);
}

void put_superseded(const Database& db, std::int64_t file_id, const Session& session) {
  std::vector<std::string> names;
  for (const CorrectionMade& made : session.corrections) names.push_back(made.of_file);
  if (!session.provenance.supersedes.empty()) names.push_back(session.provenance.supersedes);
  std::sort(names.begin(), names.end());
  names.erase(std::unique(names.begin(), names.end()), names.end());
  Statement row(db, "INSERT INTO superseded VALUES (?, ?)");
  for (const std::string& name : names) row.with(file_id, name).run();
}

void put_set(const Database& db, std::int64_t file_id, const LiftedSet& set) {
  Statement row(db,
                "INSERT INTO lifted_set(file_id, start, lifter, lift, lifter_key, lift_key, bar, "
                "accommodating, stated_load_kg, in_pounds, number, box_height_m) VALUES (" +
                    parameters(12) + ")");
  row.with(file_id,
           set.start,
           set.lifter,
           set.lift,
           folded(set.lifter),
           folded(set.lift),
           set.bar,
           set.accommodating,
           set.stated_load_kg,
           set.unit == MassUnit::kPound ? 1 : 0,
           set.set);
  if (set.box_height_m) row.bind(12, *set.box_height_m);
  row.run();

  const std::int64_t set_id = last_id(db);
  Statement rep_row(
      db, "INSERT INTO lifted_rep VALUES (" + parameters(4 + 2 * kRememberedNumbers.size()) + ")");
  for (std::size_t place = 0; place < set.reps.size(); ++place) {
    const LiftedRep& rep = set.reps[place];
    rep_row.with(set_id, static_cast<std::int64_t>(place), rep.number, static_cast<int>(rep.kind));
    int column = 5;
    for (const auto member : kRememberedNumbers) {
      bind_measured(rep_row, column, rep.*member);
      column += 2;
    }
    rep_row.run();
  }
}

std::vector<Candidate> whole_files(const Database& db) {
  std::vector<Candidate> out;
  const Statement rows(db,
                       "SELECT id, name, seal, source_sha256, first_s, last_s, made_at FROM file "
                       "WHERE state = 0 ORDER BY name");
  Statement superseded(db, "SELECT name FROM superseded WHERE file_id = ?");
  while (rows.next()) {
    out.push_back({.file = rows.text(1),
                   .seal = rows.text(2),
                   .source_sha256 = rows.text(3),
                   .first_s = rows.number(4),
                   .last_s = rows.number(5),
                   .made_at = rows.text(6),
                   .supersedes = {}});
    superseded.with(rows.whole(0));
    while (superseded.next()) out.back().supersedes.push_back(superseded.text(0));
  }
  return out;
}

}  // namespace

int index_version(const Database& db) {
  const Statement row(db, "PRAGMA user_version");
  return row.next() ? static_cast<int>(row.whole(0)) : 0;
}

std::string rep_columns() {
  std::string out;
  for (std::size_t i = 0; i < kRememberedNumbers.size(); ++i) {
    out += fmt::format(", value_{0}, sigma_{0}", i);
  }
  return out;
}

void make_tables(const Database& db) {
  db.run(kTables);
  db.run(("CREATE TABLE lifted_rep(set_id INTEGER NOT NULL, place INTEGER NOT NULL, "
          "number INTEGER NOT NULL, kind INTEGER NOT NULL" +
          rep_columns() + ", PRIMARY KEY(set_id, place)) WITHOUT ROWID")
             .c_str());
  db.run(fmt::format("PRAGMA user_version = {}", kIndexVersion).c_str());
}

void put_session(const Database& db,
                 const std::string& name,
                 const FileState& state,
                 const StoredSession& stored) {
  forget(db, name);
  const std::int64_t file_id = put_file(db, name, state, stored);
  put_superseded(db, file_id, stored.session);
  for (const LiftedSet& set : lifted_sets(stored.session)) put_set(db, file_id, set);
}

void mark_damaged(const Database& db,
                  const std::string& name,
                  const FileState& state,
                  const std::string& problem) {
  Statement(db,
            "INSERT INTO file(name, size, changed_ns, state, problem) VALUES (?, ?, ?, 1, ?) "
            "ON CONFLICT(name) DO UPDATE SET size = excluded.size, "
            "changed_ns = excluded.changed_ns, state = 1, problem = excluded.problem")
      .with(name, state.size, state.changed_ns, problem)
      .run();
}

void mark_gone(const Database& db, const std::string& name) {
  Statement(db,
            "UPDATE file SET state = 2, problem = 'it is no longer in the folder' WHERE name = ?")
      .with(name)
      .run();
}

void settle_what_counts(const Database& db) {
  std::vector<std::string> moved;
  {
    const Statement rows(db,
                         "SELECT name FROM file WHERE state = 2 AND (seal = '' OR seal IN "
                         "(SELECT seal FROM file WHERE state = 0))");
    while (rows.next()) moved.push_back(rows.text(0));
  }
  for (const std::string& name : moved) forget(db, name);

  const std::vector<Candidate> files = whole_files(db);
  const std::vector<std::string> in_place = replaced_by(files);
  db.run("UPDATE file SET replaced_by = '' WHERE replaced_by != ''");
  Statement row(db, "UPDATE file SET replaced_by = ? WHERE name = ?");
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (!in_place[i].empty()) row.with(in_place[i], files[i].file).run();
  }
}

void bind_measured(const Statement& row, int place, const Measured& number) {
  if (number.ok()) {
    row.bind(place, number.value());
    row.bind(place + 1, number.sigma());
  } else {
    row.bind_nothing(place);
    row.bind(place + 1, static_cast<double>(number.reason()));
  }
}

Measured measured_in(const Statement& row, int column) {
  if (!row.is_nothing(column)) return {row.number(column), row.number(column + 1)};
  if (row.is_nothing(column + 1)) return {};
  return static_cast<Reason>(row.whole(column + 1));
}

}  // namespace kinetics
