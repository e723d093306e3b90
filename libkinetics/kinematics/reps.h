#pragma once

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"

/// Finds the repetitions in a motion and measures each.

namespace kinetics {

struct RepOptions {
  /// Upward velocity at which the concentric phase begins and ends, m/s.
  double threshold_mps = 0.02;
  /// Least rise that can be a rep, m.
  double min_rise_m = 0.10;
  /// Rest between two reps from which on a new set is counted, s.
  double set_gap_s = 30.0;
  /// Share of the set's fastest mean velocity that may be lost before a rep is flagged, 0 to 1.
  double slowed_loss = 0.20;
};

[[nodiscard]] SetTable find_reps(const Motion& motion, const RepOptions& options = {});

}  // namespace kinetics
