#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/core/note.h"

/// What a logger on the bar wrote down, in SI units and in order of time.

namespace kinetics {

/// One row of an inertial log, in the sensor's own frame. Specific force: a sensor at rest on a
/// bench reads +9.8 m/s² along the axis that points up.
struct SensorSample {
  double t_s = 0.0;  ///< seconds since the log's first row; strictly increasing
  Eigen::Vector3f accel_mps2 = Eigen::Vector3f::Zero();
  Eigen::Vector3f rate_radps = Eigen::Vector3f::Zero();  ///< zero when the log has no gyroscope
  bool clipped = false;  ///< an axis stood at the end of its range: the true value may be larger
};

/// One row of a position log (a cable encoder's reading).
struct PositionSample {
  double t_s = 0.0;
  double height_m = 0.0;  ///< upwards, from the first row
};

struct SensorLog {
  std::vector<SensorSample> samples;      ///< empty for a position log
  std::vector<PositionSample> positions;  ///< empty for an inertial log
  bool has_gyroscope = false;
  double rate_hz = 0.0;           ///< usual spacing of the rows, inverted
  double stamp_sigma_s = 0.0;     ///< jitter and resolution of the stamps (1 sigma)
  double accel_range_mps2 = 0.0;  ///< end of the range, from readings that stand at it; 0: not seen
  double height_step_m = 0.0;     ///< resolution of a position log
  /// Wall clock of the first row, seconds since 1970-01-01 UTC; 0 when the log does not say. Stamps
  /// that name no time zone are taken as UTC.
  double started_unix_s = 0.0;
  std::size_t rows = 0;  ///< data rows read, kept or not
  Notes notes;           ///< what was decided and left out
};

}  // namespace kinetics
