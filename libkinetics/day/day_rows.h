#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/sheet.h"

/// The rows of a session sheet in the order in which they were to be lifted, with what is usual of
/// each lifter.

namespace kinetics {

struct DayRow {
  int row = 0;                                   ///< as a spreadsheet numbers it
  std::string lifter = {};                       ///< as the roster writes it
  std::string lift = {};                         ///< with bar and box: rows alike in all are alike
  std::optional<double> start_s = std::nullopt;  ///< time of day, since midnight
  std::optional<int> planned_reps = std::nullopt;        //
  std::optional<double> disc_diameter_m = std::nullopt;  ///< of the largest, when known
  Measured usual_rom_m = {};
  Measured usual_lockout_m = {};  ///< above the floor
};

struct DayPlan {
  std::vector<DayRow> rows;  ///< in the order they were to be lifted
  Notes notes;
};

/// Orders the rows: by time or place when every row has one of the same kind; else, when each
/// lifter's sets stand together, by the number of the set, as lifters in a group take turns; else
/// as they stand. Usual heights come from the roster, when there is one and it knows them.
///
/// Errors  as plan_set, for rows that the roster cannot make sense of.
[[nodiscard]] DayPlan day_rows(const Sheet& sheet, const Roster* roster);

/// Seconds since midnight of "17:05", "17:05:30", "5:05 pm" or "17h05"; nothing for other text.
[[nodiscard]] std::optional<double> time_of_day_s(std::string_view text);

}  // namespace kinetics
