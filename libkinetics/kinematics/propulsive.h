#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/kinematics/motion.h"

/// Where the propulsive phase of a rise ends.
///
/// Internal to the room.

namespace kinetics {

/// Index in `states` of the first one from which on the bar decelerates faster than gravity would
/// make it, or of the last. `lean` shifts the acceleration by so many of its sigmas.
///
/// Source  L. Sánchez-Medina, C. E. Perez, J. J. González-Badillo, Int J Sports Med 2010;
///         31:123-129: the propulsive phase lasts until the acceleration falls below -9.81 m/s².
[[nodiscard]] std::size_t propulsive_end(const std::vector<MotionSample>& states, double lean);

}  // namespace kinetics
