#pragma once

#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "libkinetics/sensor/sensor_log.h"

/// A log condensed to a rate the bar's motion needs: short stretches of it, integrated first.
///
/// Internal to the room.

namespace kinetics {

/// Some rows in one. The turn within it is taken out before the accelerations are averaged, so a
/// sensor that spins with its sleeve loses nothing.
struct Bin {
  double t_s = 0.0;                                      ///< middle of its rows
  Eigen::Vector3d accel_mps2 = Eigen::Vector3d::Zero();  ///< mean specific force, frame at t_s
  double size_mps2 = 0.0;                                ///< mean of its length
  Eigen::Vector3d rate_radps = Eigen::Vector3d::Zero();  ///< mean
  /// Turn since the last bin's middle by the gyroscope as it reads: (frame then)_from_(frame now).
  Eigen::Quaterniond turn = Eigen::Quaterniond::Identity();
  double spread_mps2 = 0.0;  ///< standard deviation of the rows' lengths within it
  bool clipped = false;
};

/// Turn by a rotation vector.
[[nodiscard]] Eigen::Quaterniond turn_by(const Eigen::Vector3d& rotation_rad);

/// Rotation vector of a turn, of length 0 to pi.
[[nodiscard]] Eigen::Vector3d rotation_of(const Eigen::Quaterniond& turn);

/// Condenses a log to `rate_hz` or less. One pass; the rows are not copied.
[[nodiscard]] std::vector<Bin> condense(const SensorLog& log, double rate_hz);

}  // namespace kinetics
