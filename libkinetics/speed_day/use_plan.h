#pragma once

#include "libkinetics/session/session.h"
#include "libkinetics/sheet/plan_set.h"

/// From a row of the sheet to the options of an analysis.

namespace kinetics {

/// Puts what was planned for a set into the options: load, heights, thresholds and the plan.
void use_plan(PlannedSet planned, AnalysisOptions& options);

}  // namespace kinetics
