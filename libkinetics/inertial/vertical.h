#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/inertial/attitude.h"
#include "libkinetics/inertial/bins.h"
#include "libkinetics/inertial/drift_smoother.h"
#include "libkinetics/inertial/stillness.h"

/// The upward acceleration that a log tells of, and the model it is read with.
///
/// Internal to the room.

namespace kinetics {

/// One instant of the estimate.
struct UpwardReading {
  double t_s = 0.0;
  double accel_mps2 = 0.0;
  double variance = 1.0;           ///< of its own noise
  double jerk_psd = 1.0;           ///< of the motion from here to the next
  double wander = 0.0;             ///< variance the sensor's error gains until the next
  double error_kept = 1.0;         ///< share of the sensor's error that is still there then
  double lever_variance_m2 = 0.0;  ///< of the sensor's height over the bar's, until the next
  Eigen::Vector3f up = Eigen::Vector3f::UnitZ();  ///< the vertical, in the sensor's frame
  double yaw_radps = 0.0;  ///< turning about the vertical; 0 without a gyroscope
  bool still = false;      ///< at rest beyond doubt
  bool lying = false;      ///< nothing but noise, or a bar that glides evenly
  bool quiet = false;      ///< little going on: held, or gliding
  bool clipped = false;
  bool handled = false;  ///< no bar moves like this: the sensor is being carried or fitted
  bool hole_after = false;
};

/// With a gyroscope the specific force is turned upright; without one its length stands for its
/// upward part, which holds as long as the bar accelerates sideways much less than gravity does.
[[nodiscard]] std::vector<UpwardReading> upward_readings(const std::vector<Bin>& bins,
                                                         const Stillness& stillness,
                                                         const Attitude* attitude,
                                                         double gravity_mps2);

/// Places of the states; constants that only fusion needs come after.
namespace at {
inline constexpr int kHeight = 0;
inline constexpr int kVelocity = 1;
inline constexpr int kAccel = 2;
inline constexpr int kBias = 3;     ///< error of the upward acceleration
inline constexpr int kLockout = 4;  ///< height at which the reps of a set end
}  // namespace at
inline constexpr int kLogStates = 5;

/// A height known to be the lockout's, by how much, at one instant.
struct LockoutSighting {
  std::size_t at = 0;
  double variance_m2 = 0.0;
};

/// What is assumed beside the readings themselves.
struct UpwardAssumptions {
  /// Per instant: how far from no velocity (1 sigma) the bar was held there; 0: it was not.
  std::vector<double> rest_sigma_mps;
  double rest_sigma_scale = 1.0;  ///< how loosely that is held, against the usual
  std::vector<LockoutSighting> lockouts;
  std::vector<std::size_t> new_sets;  ///< steps over which the lockout height is forgotten
  bool bounded = true;                ///< the bar stays within reach of where it began
};

using LogModel = StateModel<kLogStates>;

[[nodiscard]] LogModel upward_model(const std::vector<UpwardReading>& readings,
                                    const UpwardAssumptions& assumptions);

}  // namespace kinetics
