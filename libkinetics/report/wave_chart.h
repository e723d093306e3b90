#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/weekday.h"
#include "libkinetics/roster/training_plan.h"

/// The plan's waves on paper: loads week by week up to the meet.

namespace kinetics {

/// One page a wave plan, one below the other: each session's share of the best single with sets and
/// reps, the work it makes, bars and gear by turns, the meet; sessions up to `done` are filled, the
/// one on `next` is marked. Special exercises stand below. Self-contained SVG.
[[nodiscard]] std::string wave_chart(const TrainingPlan& plan,
                                     std::optional<CalendarDay> done,
                                     std::optional<CalendarDay> next);

}  // namespace kinetics
