#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/kinematics/motion.h"

/// The Butterworth way to a motion: even samples, low-pass, central differences.
///
/// Internal to the room.

namespace kinetics {

/// Stretches of seen points (by index) without a hole longer than options.max_gap_s.
struct SeenStretch {
  std::size_t first = 0;
  std::size_t last = 0;
};

/// Fills `motion.samples` (already sized, with times) inside the stretches.
void butterworth_motion(const std::vector<PathPoint>& points,
                        const std::vector<char>& usable,
                        const std::vector<SeenStretch>& stretches,
                        const MotionOptions& options,
                        Motion& motion);

}  // namespace kinetics
