#pragma once

#include "libkinetics/kinematics/phases.h"
#include "libkinetics/kinematics/rep.h"

/// What is measured of one rise, each number with its standard error.
///
/// Internal to the room.

namespace kinetics {

/// A rep with the parts of its uncertainty that later steps need apart.
struct MeasuredRep {
  Rep rep;
  Rise rise;
  /// Standard error of the mean velocity without what all reps of the clip share.
  double own_mean_sigma_mps = 0.0;
  bool hidden = false;  ///< too much of it was out of sight to measure
};

[[nodiscard]] MeasuredRep measure(const Motion& motion, const Rise& rise, double threshold_mps);

}  // namespace kinetics
