#pragma once

#include <optional>
#include <vector>

#include "libkinetics/loading/bar_load.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/set_plan.h"
#include "libkinetics/sheet/sheet.h"

/// A row of a sheet and the roster together: what was on the bar, and what was expected.

namespace kinetics {

struct PlannedSet {
  SetPlan plan;
  BarLoad load;
  std::optional<double> lockout_height_m;  ///< of the bar's sleeves above the floor
  std::optional<double> bottom_height_m;
  double height_sigma_m = 0.0;
  std::string held_on = {};  ///< day of the lifting; empty when the sheet does not tell
  Thresholds thresholds;     ///< the club's, with the lift's own zone
  Notes notes;
};

/// The row to use: the only one, the one with this number in the spreadsheet, or the only one whose
/// column for the clip names this file (its folder does not matter).
///
/// Errors  Error{kUsage} that lists the rows when there are several and none was named, or none has
///         that number.
[[nodiscard]] const SheetRow& choose_row(const Sheet& sheet,
                                         std::optional<int> row,
                                         const std::string& clip = {});

/// Looks up lifter, lift, bar, chains and bands. Without a roster only the load is known, and a row
/// with chains or bands is refused.
///
/// Of several entries for the lift that fit bar and box, the one that names most of them counts.
///
/// Errors  Error{kUnreadable} naming file, row and column: a name that the roster does not hold
///         (with the nearest), a load below the bar's own mass, chains or bands that cannot hang
///         evenly or whose heights are not known.
[[nodiscard]] PlannedSet plan_set(const Sheet& sheet, const SheetRow& row, const Roster* roster);

/// Everything in the sheet's rows that plan_set would refuse, and what it would note.
struct SheetCheck {
  std::vector<SheetProblem> problems;
  Notes notes;
};
[[nodiscard]] SheetCheck check_sheet(const Sheet& sheet, const Roster& roster);

}  // namespace kinetics
