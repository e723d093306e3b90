#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/inertial/lockouts.h"
#include "libkinetics/inertial/vertical.h"

/// Rises that no bar made: the sensor was carried, fitted, taken off or walked about with.
///
/// Internal to the room.

namespace kinetics {

/// What is known of the sensor's turns, with a gyroscope.
struct SensorTurns {
  bool spinning = false;  ///< goes right round within a rise; see Attitude
  /// About which axis of its own it turned most, when the vertical is known well enough to tell.
  std::optional<Eigen::Vector3f> main_axis;
};

/// Marks what was carried. A bar keeps its heading, and the rises of a set begin and end in the
/// same attitude, but for turns of a sleeve about the bar, and are alike in travel and time; a hand
/// turns about the vertical as well, and does nothing twice. Whether anything was marked.
bool mark_handled(std::vector<UpwardReading>& readings,
                  const LogStates& states,
                  const SensorTurns& turns);

}  // namespace kinetics
