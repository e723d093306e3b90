#pragma once

#include "libkinetics/kinematics/motion.h"

/// At which shift a clip's motion and a log's look most alike.
///
/// Internal to the room.

namespace kinetics {

struct Alignment {
  double offset_s = 0.0;   ///< clip time = offset + log time
  double agreement = 0.0;  ///< correlation of the velocities there, where both are known
  double rival = 0.0;      ///< the same at the best other shift, a second or more away
  double overlap_s = 0.0;
  double moving_s = 0.0;  ///< of the overlap
};

[[nodiscard]] Alignment align(const Motion& clip, const Motion& log);

}  // namespace kinetics
