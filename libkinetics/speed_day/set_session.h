#pragma once

#include <vector>

#include "libkinetics/session/session.h"
#include "libkinetics/speed_day/bar_work.h"
#include "libkinetics/speed_day/day_sets.h"

/// One set of a day as a session of its own. Internal.

namespace kinetics {

/// Cuts the set out of its work, with some seconds before and after it but nothing of other sets,
/// and analyses it with these options. Times are those of the recording its first rep is in.
[[nodiscard]] Session session_of_set(const FoundDaySet& set,
                                     const std::vector<BarWork>& work,
                                     const std::vector<Recording>& recordings,
                                     const AnalysisOptions& options);

}  // namespace kinetics
