#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "libkinetics/inertial/bins.h"
#include "libkinetics/inertial/stillness.h"

/// Which way the sensor was turned, all through a log with a gyroscope, and what its readings are
/// off by.
///
/// Internal to the room.

namespace kinetics {

struct Attitude {
  std::vector<Eigen::Quaterniond> world_from_sensor;  ///< per bin; world z points up, yaw is free
  Eigen::Vector3d rate_bias_radps = Eigen::Vector3d::Zero();
  Eigen::Vector3d accel_offset_mps2 = Eigen::Vector3d::Zero();
  Eigen::Vector3d lever_m = Eigen::Vector3d::Zero();  ///< of the sensor off the bar's axis
  /// About which axis of its own the sensor turned most: the bar's, or the sleeve's.
  Eigen::Vector3d main_axis = Eigen::Vector3d::UnitZ();
  double scale = 1.0;  ///< true specific force = (reading - offset) * scale
  /// Turns so far and so often that an unknown scale of the gyroscope loses the vertical within a
  /// rep; where that is not found, the specific force's length is the better guide.
  bool spinning = false;
  bool refined = false;  ///< false: the batch estimate did not converge, the first guess stands
};

/// Gyroscope turns chained, tied to the vertical by the mean specific force over seconds: a bar
/// gets nowhere, so its acceleration averages out.
[[nodiscard]] Attitude first_attitude(const std::vector<Bin>& bins, const Stillness& stillness);

/// The same by one batch estimate: attitude and velocity on knots, joined by the integrated
/// readings; sensor biases unknown; still where it lay still, and nowhere fast for long.
///
/// Source  C. Forster, L. Carlone, F. Dellaert, D. Scaramuzza, IEEE Trans. Robotics 33(1):1-21,
///         2017, for the integration between knots and its derivatives by the biases.
void refine_attitude(const std::vector<Bin>& bins,
                     const Stillness& stillness,
                     double gravity_mps2,
                     Attitude& attitude);

}  // namespace kinetics
