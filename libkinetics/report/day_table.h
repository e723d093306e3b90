#pragma once

#include <string>

#include "libkinetics/speed_day/day_session.h"

/// A speed day for a terminal.

namespace kinetics {

/// Lifter by lifter one line a set: load, reps, fastest, mean and last mean velocity, loss, its
/// number in the day and what the match is worth; flags below the set they are of. Then doubts with
/// what else they could be, notes and the usual cautions. Plain text,
/// UTF-8, no line wider than kTableColumns.
[[nodiscard]] std::string day_table(const DaySession& day);

}  // namespace kinetics
