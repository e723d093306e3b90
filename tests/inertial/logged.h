#pragma once

#include <cstdint>
#include <functional>

#include <Eigen/Core>
#include <Eigen/Geometry>

#include "libkinetics/sensor/sensor_log.h"
#include "tests/support/lifts.h"

/// What a sensor on the bar would have logged of a lift known in closed form. Test instrument:
/// shares no code with the estimator.

namespace kinetics_test {

/// The sensor and how it is fitted.
struct Logging {
  double rate_hz = 100.0;
  bool gyroscope = true;
  double accel_noise_mps2_rthz = 0.0015;  ///< density; 150 µg/√Hz
  double rate_noise_radps_rthz = 1.7e-4;  ///< 0.01 °/s/√Hz
  Eigen::Vector3d accel_offset_mps2 = Eigen::Vector3d::Zero();
  Eigen::Vector3d accel_scale = Eigen::Vector3d::Ones();
  Eigen::Vector3d rate_bias_radps = Eigen::Vector3d::Zero();
  double rate_scale = 1.0;
  double range_mps2 = 1e9;                                                ///< readings stop here
  Eigen::Quaterniond world_from_sensor = Eigen::Quaterniond::Identity();  ///< at the start
  /// Turn of the sensor about the bar (its own x) at a time, rad.
  std::function<double(double)> spin_rad = {};
  double sway_m = 0.01;    ///< horizontal, 0.4 Hz
  double tremble_m = 0.0;  ///< vertical, 9 Hz, while off the hooks
  double jitter_s = 0.0;   ///< of the stamps
  double from_s = 0.0;     ///< the log is cut here
  double to_s = 1e9;
  std::uint32_t seed = 1;
};

[[nodiscard]] kinetics::SensorLog logged(const Lift& lift, const Logging& logging = {});

}  // namespace kinetics_test
