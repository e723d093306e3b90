#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "samples/render/scene.h"
#include "samples/simulate/sensor_spec.h"

/// What a sensor on the bar reads, and what is true.

namespace simulate {

/// One row as the logger has it. Times are the log's own, from 0 at its first row.
struct Row {
  double stamp_s = 0.0;
  Eigen::Vector3d accel_mps2 = Eigen::Vector3d::Zero();
  Eigen::Vector3d rate_radps = Eigen::Vector3d::Zero();
  double height_m = 0.0;  ///< of a position log
};

/// What is true of the log. Repetitions are in the log's time, velocities in real metres a second.
struct LogTruth {
  /// The clip's time of the log's first row, and how fast the log's clock runs:
  /// clip time = first_row_in_clip_s + log time / (1 + skew_ppm / 1e6).
  double first_row_in_clip_s = 0.0;
  double skew_ppm = 0.0;
  /// The sensor's filter tells of the bar so much later than the stamps say: whoever lines the log
  /// up with the clip finds the first row this much earlier.
  double lag_s = 0.0;
  double gravity_mps2 = 9.80665;
  std::vector<render::RepTruth> reps{};
  std::vector<render::RepTruth> reps_in_clip{};  ///< the same in the clip's time
};

struct SimulatedLog {
  std::vector<Row> rows;
  /// Of a gyroscope with a file of its own; then the rates in `rows` are not written.
  std::vector<Row> gyro_rows;
  LogTruth truth;
};

/// The same scene and spec give the same log.
[[nodiscard]] SimulatedLog simulate_log(const render::Scene& scene, const SensorSpec& spec);

/// Writes the log in the dialect the spec asks for; the gyroscope's own file is named
/// gyro_path(path). Throws std::runtime_error when it cannot be written.
void write_log(const SimulatedLog& log, const SensorSpec& spec, const std::string& path);
[[nodiscard]] std::string gyro_path(const std::string& path);

void write_truth(const LogTruth& truth, const std::string& path);

}  // namespace simulate
