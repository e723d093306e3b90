#pragma once

#include <string>

#include "libkinetics/speed_day/day_session.h"

/// The coach's own sheet with what was measured behind each row.

namespace kinetics {

/// The text of a new sheet; the one that was read is never written to.
///
/// Columns  those of the sheet, every cell as it was; then "recorded set", "begins" (by the sheet's
///          clock, else minutes and seconds since the recording began), "reps done", fastest, mean
///          and last mean velocity in m/s, loss in %, with half of its 95 % interval behind all but
///          the mean; load at the bottom, mean and top in the sheet's unit; flags, match (certain,
///          likely, doubtful, your word, missed, extra set), "or else" and source. A sheet that has
///          them already gets them anew.
/// Rows     those of the sheet; then one for each set that no row fits, with "extra set" in the
///          lifter's place and everything else left to fill in.
/// Missing  a number that was not measured is an empty cell; its flag says so.
/// Format   delimiter, line ends, byte order mark and decimal mark of the sheet. read_sheet reads
///          it as it read the sheet.
[[nodiscard]] std::string filled_sheet(const DaySession& day);

}  // namespace kinetics
