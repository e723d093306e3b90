#pragma once

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"

/// How the bar was carried: its path, the descent, the pause before the rise and the lockout.

namespace kinetics {

/// Measures the shape of one repetition.
///
/// Frame     sideways is positive to the right as seen by the camera.
/// Accuracy  tests/kinematics/rep_shape_test.cpp.
/// Errors    none. What the rep has not (a deadlift's descent), or what was hidden, is not
/// measured.
[[nodiscard]] RepShape rep_shape(const Motion& motion, const Rep& rep);

/// Whether the bar rocked before it rose: it moved there and back in the pause, by more than noise
/// and by more than `least_m`, below which a person who sits still moves too (our own choice).
[[nodiscard]] bool rocked(const Rep& rep, double least_m = 0.005);

}  // namespace kinetics
