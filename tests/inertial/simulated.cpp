#include "tests/inertial/simulated.h"

#include <algorithm>
#include <cmath>

namespace kinetics_test {
namespace {

std::vector<simulate::Row> in_order(std::vector<simulate::Row> rows) {
  std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
    return a.stamp_s < b.stamp_s;
  });
  rows.erase(std::unique(rows.begin(),
                         rows.end(),
                         [](const auto& a, const auto& b) { return b.stamp_s - a.stamp_s < 1e-6; }),
             rows.end());
  return rows;
}

Eigen::Vector3d rate_at(const std::vector<simulate::Row>& rows, double t) {
  const auto after = std::lower_bound(
      rows.begin(), rows.end(), t, [](const auto& r, double s) { return r.stamp_s < s; });
  if (after == rows.begin()) return after->rate_radps;
  if (after == rows.end()) return rows.back().rate_radps;
  const auto before = after - 1;
  const double part = (t - before->stamp_s) / (after->stamp_s - before->stamp_s);
  return before->rate_radps + part * (after->rate_radps - before->rate_radps);
}

}  // namespace

kinetics::SensorLog read_rows(const simulate::SimulatedLog& log,
                              const simulate::SensorSpec& spec) {
  kinetics::SensorLog out;
  const std::vector<simulate::Row> rows = in_order(log.rows);
  const std::vector<simulate::Row> gyro = in_order(log.gyro_rows);
  out.has_gyroscope = spec.gyroscope;
  const double range = spec.errors.accel_range_g * 9.80665;
  std::vector<double> steps;
  for (const simulate::Row& row : rows) {
    kinetics::SensorSample s;
    s.t_s = row.stamp_s - rows.front().stamp_s;
    s.accel_mps2 = row.accel_mps2.cast<float>();
    if (spec.gyroscope) {
      s.rate_radps = (gyro.empty() ? row.rate_radps : rate_at(gyro, row.stamp_s)).cast<float>();
    }
    s.clipped = range > 0.0 && row.accel_mps2.cwiseAbs().maxCoeff() > 0.999 * range;
    if (!out.samples.empty()) steps.push_back(s.t_s - out.samples.back().t_s);
    out.samples.push_back(s);
  }
  std::nth_element(steps.begin(), steps.begin() + steps.size() / 2, steps.end());
  out.rate_hz = 1.0 / steps[steps.size() / 2];
  out.stamp_sigma_s = spec.clock.stamp_error_s;
  out.rows = log.rows.size();
  return out;
}

}  // namespace kinetics_test
