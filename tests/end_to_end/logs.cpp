#include "tests/end_to_end/logs.h"

#include <algorithm>

#include <nlohmann/json.hpp>

namespace accuracy {

namespace fs = std::filesystem;
using nlohmann::json;

MadeLog make_log(const std::string& name, const std::string& scene_json, const fs::path& cache) {
  fs::create_directories(cache);
  MadeLog out{.name = name,
              .file = cache / (name + ".csv"),
              .gyro_file = {},
              .scene = render::parse_scene(scene_json, name),
              .sensor = simulate::parse_sensor(scene_json, name),
              .log = {},
              .has_clip = json::parse(scene_json).contains("camera")};
  out.log = simulate::simulate_log(out.scene, out.sensor);
  simulate::write_log(out.log, out.sensor, out.file.string());
  if (!out.log.gyro_rows.empty()) out.gyro_file = simulate::gyro_path(out.file.string());
  return out;
}

kinetics::SensorLog as_read(const MadeLog& made) {
  std::vector<simulate::Row> rows = made.log.rows;
  std::stable_sort(
      rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.stamp_s < b.stamp_s; });
  kinetics::SensorLog out;
  out.has_gyroscope = made.sensor.gyroscope && made.sensor.kind == "inertial";
  out.rate_hz = made.sensor.rate_hz;
  out.stamp_sigma_s = made.sensor.clock.stamp_error_s;
  out.height_step_m = 1e-3 * made.sensor.errors.height_step_mm;
  out.rows = rows.size();
  const double range = made.sensor.errors.accel_range_g * 9.80665;
  double last_s = -1.0;
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const simulate::Row& row = rows[k];
    // Rows of one packet share its stamp: laid out evenly, as the reader does.
    std::size_t from = k, to = k + 1;
    while (from > 0 && rows[from - 1].stamp_s == row.stamp_s) --from;
    while (to < rows.size() && rows[to].stamp_s == row.stamp_s) ++to;
    double stamp = row.stamp_s;
    if (made.sensor.clock.rows_a_packet > 1) stamp += double(k - from) / made.sensor.rate_hz;
    if (stamp <= last_s) continue;
    last_s = stamp;
    if (made.sensor.kind == "position") {
      out.positions.push_back({stamp, row.height_m - rows.front().height_m});
      continue;
    }
    const double most = row.accel_mps2.cwiseAbs().maxCoeff();
    out.samples.push_back({.t_s = stamp,
                           .accel_mps2 = row.accel_mps2.cast<float>(),
                           .rate_radps = made.sensor.gyroscope ? row.rate_radps.cast<float>().eval()
                                                               : Eigen::Vector3f::Zero().eval(),
                           .clipped = range > 0.0 && most > 0.998 * range});
    if (out.samples.back().clipped) out.accel_range_mps2 = range;
  }
  return out;
}

render::ClipTruth truth_of(const MadeLog& made) {
  return {.reps = made.log.truth.reps};
}

}  // namespace accuracy
