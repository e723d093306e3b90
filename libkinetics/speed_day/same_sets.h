#pragma once

#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/speed_day/bar_work.h"
#include "libkinetics/speed_day/day_sets.h"
#include "libkinetics/speed_day/recordings.h"

/// Several cameras (or a camera and a logger) on one bar. Internal.

namespace kinetics {

/// Lines up cameras that saw the same lifts: the times at which rises begin are a rhythm that no
/// other hour has. Of two cameras the one that saw less is moved on the day's clock. Cameras whose
/// rises do not fall together anywhere stay where their clocks put them: they filmed other bars.
void line_up_cameras(std::vector<Recording>& recordings,
                     const std::vector<BarWork>& work,
                     Notes& notes);

/// Of sets that two cameras saw the one with more reps is kept, then the one with the larger disc;
/// it says where else it was seen.
void join_same_sets(std::vector<FoundDaySet>& sets,
                    const std::vector<Recording>& recordings,
                    const std::vector<BarWork>& work);

}  // namespace kinetics
