#pragma once

#include <vector>

#include "libkinetics/history/lifted_set.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/training/next_loading.h"

/// What was to be expected of the lifters as of a day.

namespace kinetics {

/// Profiles of the sets lifted before the day asked for, by each set's middle rep, as a session's
/// mean is what they are held against; where there is no line, what the roster says. Sets and
/// roster must outlive it; the expectations it gives keep their profiles alive.
[[nodiscard]] ExpectationAsOf expectation_as_of(const std::vector<LiftedSet>& sets,
                                                const Roster& roster);

}  // namespace kinetics
