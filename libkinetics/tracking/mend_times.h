#pragma once

#include "libkinetics/core/note.h"
#include "libkinetics/tracking/bar_path.h"

/// What is done, and said, about pictures that were not taken at the times they carry. Internal.

namespace kinetics {

/// Gives the points the times their pictures were taken at where those can be found out (see
/// taken_times); does nothing else.
void mend_times(BarPath& path, Notes& notes);

/// States how far the path's times may be off. `tick_s` is what they are counted in.
void judge_stamps(BarPath& path, double tick_s, Notes& notes);

}  // namespace kinetics
