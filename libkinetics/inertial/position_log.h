#pragma once

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/sensor/sensor_log.h"
#include "libkinetics/tracking/bar_path.h"

/// A position log (a cable encoder's) as a path like a clip's.

namespace kinetics {

/// The rows as sightings. Each is as sure as the encoder's step lets it be; x is 0.
[[nodiscard]] BarPath path_of_positions(const SensorLog& log);

/// estimate_motion of that path.
[[nodiscard]] Motion motion_of_positions(const SensorLog& log);

}  // namespace kinetics
