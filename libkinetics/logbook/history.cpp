#include "libkinetics/logbook/history.h"

#include <cstddef>
#include <cstdint>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/index_rows.h"
#include "libkinetics/logbook/session_index.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

using sqlite::Database;
using sqlite::Statement;

/// Conditions on the tables file and lifted_set, with the values of their parameters.
struct Conditions {
  std::string text = "1";
  std::vector<std::string> values = {};

  void add(const std::optional<std::string>& value, const char* condition) {
    if (!value) return;
    text += fmt::format(" AND {}", condition);
    values.push_back(*value);
  }
  void bind_to(const Statement& statement) const {
    for (std::size_t i = 0; i < values.size(); ++i) {
      statement.bind(static_cast<int>(i) + 1, values[i]);
    }
  }
};

Conditions conditions_of(const HistoryFilter& filter) {
  const auto key = [](const std::optional<std::string>& name) {
    return name ? std::optional(folded(*name)) : std::nullopt;
  };
  Conditions out;
  out.add(key(filter.lifter), "lifter_key = ?");
  out.add(key(filter.lift), "lift_key = ?");
  out.add(filter.from_day, "day >= ?");
  out.add(filter.to_day, "day != '' AND day <= ?");
  return out;
}

std::vector<LiftedRep> reps_of(Statement& rows, std::int64_t set_id) {
  std::vector<LiftedRep> out;
  rows.with(set_id);
  while (rows.next()) {
    LiftedRep& rep = out.emplace_back();
    rep.number = static_cast<int>(rows.whole(2));
    rep.kind = static_cast<RepKind>(rows.whole(3));
    int column = 4;
    for (const auto member : kRememberedNumbers) {
      rep.*member = measured_in(rows, column);
      column += 2;
    }
  }
  return out;
}

std::vector<LiftedSet> sets_of(const Database& db, const HistoryFilter& filter) {
  const Conditions wanted = conditions_of(filter);
  const Statement rows(
      db,
      "SELECT lifted_set.id, name, day, start, lifter, lift, bar, box_height_m, accommodating, "
      "stated_load_kg, in_pounds, number FROM lifted_set JOIN file ON file.id = file_id "
      "WHERE state = 0 AND replaced_by = '' AND " +
          wanted.text + " ORDER BY day, name, number, lifted_set.id");
  wanted.bind_to(rows);
  Statement rep_rows(db, "SELECT * FROM lifted_rep WHERE set_id = ? ORDER BY place");
  std::vector<LiftedSet> out;
  while (rows.next()) {
    out.push_back({.session = rows.text(1),
                   .day = rows.text(2),
                   .start = rows.text(3),
                   .lifter = rows.text(4),
                   .lift = rows.text(5),
                   .bar = rows.text(6),
                   .box_height_m = std::nullopt,
                   .accommodating = rows.text(8),
                   .stated_load_kg = rows.number(9),
                   .unit = rows.whole(10) != 0 ? MassUnit::kPound : MassUnit::kKilogram,
                   .set = static_cast<int>(rows.whole(11)),
                   .reps = reps_of(rep_rows, rows.whole(0))});
    if (!rows.is_nothing(7)) out.back().box_height_m = rows.number(7);
  }
  return out;
}

void note_damaged(const Database& db, Notes& notes) {
  const Statement rows(db, "SELECT problem FROM file WHERE state = 1 ORDER BY name");
  while (rows.next()) notes.push_back({NoteKind::kDecision, rows.text(0)});
}

/// A correction is the coach's own doing; that a recording was analysed twice may not be known.
void note_doubles(const Database& db, Notes& notes) {
  const Statement rows(db,
                       "SELECT name, replaced_by FROM file WHERE state = 0 AND replaced_by != '' "
                       "AND name NOT IN (SELECT name FROM superseded) ORDER BY name");
  std::size_t count = 0;
  std::string first;
  while (rows.next()) {
    if (++count > 1) continue;
    first = fmt::format("{} is left out: {} is a copy or a later analysis of the same recording",
                        rows.text(0),
                        rows.text(1));
  }
  if (count == 0) return;
  const std::string more = count == 1 ? "" : fmt::format(", and so are {} others", count - 1);
  notes.push_back({NoteKind::kDecision, first + more + "."});
}

/// Runs `query` on the folder's index. An index that turns out to be damaged is made anew once.
template <typename Query>
auto asked(const std::string& logbook, Query query) {
  try {
    const SessionIndex index(logbook);
    return query(index);
  } catch (const sqlite::Trouble& trouble) {
    if (!trouble.is_damage()) {
      throw Error(ErrorCode::kInternal,
                  logbook,
                  fmt::format("the logbook's index could not be used: {}", trouble.what()),
                  fmt::format("Delete {} in it; it is made anew", kIndexName));
    }
  }
  delete_index(logbook);
  const SessionIndex index(logbook);
  return query(index);
}

}  // namespace

History read_history(const std::string& logbook, const HistoryFilter& filter) {
  return asked(logbook, [&](const SessionIndex& index) {
    History out{.sets = sets_of(index.db(), filter), .notes = index.notes()};
    note_damaged(index.db(), out.notes);
    note_doubles(index.db(), out.notes);
    return out;
  });
}

SessionList list_sessions(const std::string& logbook, const HistoryFilter& filter) {
  return asked(logbook, [&](const SessionIndex& index) {
    const Conditions wanted = conditions_of(filter);
    const Statement rows(
        index.db(),
        "SELECT name, problem, day, start, lifter, lift, bar, accommodating, stated_load_kg, "
        "in_pounds, count(lifted_set.id), reps, fastest_mps, fastest_sigma_mps, source_name, "
        "analysed_at, supersedes, replaced_by, min(lifted_set.id) "
        "FROM file LEFT JOIN lifted_set ON file.id = file_id WHERE " +
            wanted.text + " GROUP BY file.id ORDER BY day, name");
    wanted.bind_to(rows);
    SessionList out{.sessions = {}, .notes = index.notes()};
    while (rows.next()) {
      out.sessions.push_back({.file = rows.text(0),
                              .problem = rows.text(1),
                              .day = rows.text(2),
                              .start = rows.text(3),
                              .lifter = rows.text(4),
                              .lift = rows.text(5),
                              .bar = rows.text(6),
                              .accommodating = rows.text(7),
                              .stated_load_kg = rows.number(8),
                              .unit = rows.whole(9) != 0 ? MassUnit::kPound : MassUnit::kKilogram,
                              .sets = static_cast<int>(rows.whole(10)),
                              .reps = static_cast<int>(rows.whole(11)),
                              .fastest_mps = measured_in(rows, 12),
                              .source_name = rows.text(14),
                              .analysed_at = rows.text(15),
                              .supersedes = rows.text(16),
                              .replaced_by = rows.text(17)});
    }
    return out;
  });
}

}  // namespace kinetics
