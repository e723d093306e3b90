#pragma once

#include <cstddef>

#include <Eigen/Core>

#include "libkinetics/core/note.h"
#include "libkinetics/inertial/gravity.h"
#include "libkinetics/kinematics/motion.h"
#include "libkinetics/sensor/sensor_log.h"

/// The bar's motion from a sensor on it.

namespace kinetics {

struct StrapdownOptions {
  /// Gravity where the log was made; see gravity_at. 0.3 % between pole and equator, which changes
  /// velocities by as much.
  double gravity_mps2 = kStandardGravity_mps2;
  /// Highest rate at which the motion is estimated, Hz. Rows in between are integrated first.
  double rate_hz = 100.0;
  /// How alike the lockouts of a set are in height, m. Smaller trusts the lifter more against
  /// drift.
  double lockout_sigma_m = 0.02;
};

/// What the estimate found out about the sensor.
struct LogFacts {
  bool gyroscope_used = false;
  double still_s = 0.0;            ///< time the sensor lay still, all stretches together
  double gravity_read_mps2 = 0.0;  ///< length of the mean specific force at rest, or of the whole
  double accel_noise_mps2 = 0.0;   ///< one axis, one condensed reading
  double scale = 1.0;              ///< readings were multiplied by this
  Eigen::Vector3d accel_offset_mps2 = Eigen::Vector3d::Zero();  ///< and this taken off before
  Eigen::Vector3d rate_bias_radps = Eigen::Vector3d::Zero();
  double clipped_s = 0.0;
  std::size_t lockouts = 0;  ///< turning points at the top that were held against one another
};

struct LogMotion {
  Motion motion;
  LogFacts facts;
  Notes notes;
};

/// Estimates the bar's vertical motion along a whole log. Sideways motion is not estimated: x is 0.
///
/// Shape     one sample per condensed reading, rest thinned to 5 a second; times of the log.
/// Frame     height upwards from where the log began. It drifts by centimetres over a set, and over
///           a long log by more; height gained within a rep is what it is for.
/// Units     SI.
/// Method    readings condensed by integration; attitude and biases by a batch estimate; then
///           height, velocity and the upward error of the sensor by a smoother that knows rest,
///           held lockouts, and that a set's lockouts are alike.
/// Errors    Error{kUnreadable} for a log of neither kind, fewer than 2 s of it, or readings that
///           are nowhere near gravity; Error{kUsage} for options out of range.
/// Cost      O(rows) time; memory for the condensed readings of what is not rest. The rows are
///           given free as soon as they are condensed: hand the log over with std::move.
/// Source    D. H. Titterton, J. L. Weston, Strapdown Inertial Navigation Technology, 2nd ed. 2004,
///           for the mechanics of it (from memory).
[[nodiscard]] LogMotion estimate_log_motion(SensorLog log, const StrapdownOptions& options = {});

}  // namespace kinetics
