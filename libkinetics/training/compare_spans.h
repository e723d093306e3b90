#pragma once

#include <string>
#include <vector>

#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/compare.h"
#include "libkinetics/training/lifted_session.h"

/// Which spans of a logbook there are to compare.

namespace kinetics {

/// Every lift once, in the order in which they first come.
[[nodiscard]] std::vector<std::string> lifts_in(const std::vector<LiftedSession>& sessions);

/// A lift's waves by the plan when it knows of two or more, else as they were lifted. Without a
/// plan give null.
[[nodiscard]] std::vector<CompareSpan> waves_of(const TrainingPlan* plan,
                                                const std::string& lift,
                                                const std::vector<LiftedSession>& sessions);

/// Each session of the span against the one before. What cannot be told is left out.
[[nodiscard]] std::vector<Comparison> session_by_session(const std::vector<LiftedSession>& sessions,
                                                         const std::string& lift,
                                                         const CompareSpan& span,
                                                         const CompareOptions& options = {});

}  // namespace kinetics
