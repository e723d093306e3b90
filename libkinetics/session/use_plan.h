#pragma once

#include "libkinetics/session/session.h"
#include "libkinetics/sheet/plan_set.h"

/// A row of the sheet, told to the analysis.

namespace kinetics {

/// Puts load, heights, thresholds and plan into the options, and leaves all others as they are.
void use_planned(PlannedSet planned, AnalysisOptions& options);

}  // namespace kinetics
