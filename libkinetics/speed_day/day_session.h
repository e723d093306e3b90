#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/day/day_rows.h"
#include "libkinetics/day/found_set.h"
#include "libkinetics/day/match_sets.h"
#include "libkinetics/session/session.h"
#include "libkinetics/sheet/sheet.h"

/// A whole speed day as it was analysed: the sheet, every set that was found, and who lifted it.

namespace kinetics {

/// One set. `found` and `match` are also what `DaySession::match` was made from, by index.
struct DaySet {
  int number = 1;  ///< over the day, from 1, in time order: what `--assign SET=ROW` names
  FoundSet found;  ///< times since the day's first recording began; `first_rep` means nothing here
  SetMatch match;  ///< `match.row` is an index into `DaySession::rows`; empty: nobody's row

  std::string recording;          ///< the file it was taken from, below the day's folder
  double recording_s = 0.0;       ///< first rise, since that file began; reps count from there too
  std::string same_as = {};       ///< another camera's file that shows the set as well, or empty
  std::string clock = {};         ///< "17:05:30": the first rise by the sheet's clock, else empty
  std::string session_file = {};  ///< in the logbook; empty when it was not stored

  /// The set as if it had been a clip of its own, with its row's load, plan, findings and notes.
  /// `reps` are numbered from 1 within set 1. `disc`, `path` and `motion` are left empty, so that a
  /// day of any length is small: load_session(session_file) has them.
  Session session;
};

struct DaySession {
  std::string held_on = {};  ///< local day, ISO 8601; empty when not known
  Sheet sheet;               ///< as read, every cell; never written to
  std::vector<DayRow> rows;  ///< in the order they were to be lifted; `row` leads to `sheet.rows`
  std::vector<DaySet> sets;  ///< in time order
  std::vector<std::size_t> missed;      ///< indices into `rows` of rows without a set
  std::vector<std::string> recordings;  ///< all files that were looked at, in time order
  Notes notes;  ///< on the day as a whole: sheet, clocks, matching, files that could not be read
};

/// The sheet's row that `row` was made of; null when there is none.
[[nodiscard]] const SheetRow* sheet_row_of(const DaySession& day, const DayRow& row);

}  // namespace kinetics
