#include "tests/inertial/logged.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace kinetics_test {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kG = 9.80665;

}  // namespace

kinetics::SensorLog logged(const Lift& lift, const Logging& l) {
  std::mt19937 random(l.seed);
  std::normal_distribution<double> normal;
  kinetics::SensorLog log;
  log.has_gyroscope = l.gyroscope;
  log.rate_hz = l.rate_hz;
  log.stamp_sigma_s = l.jitter_s;
  const double to_s = std::min(l.to_s, lift.length_s());
  const double accel_sigma = l.accel_noise_mps2_rthz * std::sqrt(0.5 * l.rate_hz);
  const double rate_sigma = l.rate_noise_radps_rthz * std::sqrt(0.5 * l.rate_hz);
  const auto white = [&](double sigma) {
    return Eigen::Vector3d(sigma * normal(random), sigma * normal(random), sigma * normal(random));
  };
  const auto attitude = [&](double t) {
    const double spin = l.spin_rad ? l.spin_rad(t) : 0.0;
    return l.world_from_sensor *
           Eigen::Quaterniond(Eigen::AngleAxisd(spin, Eigen::Vector3d::UnitX()));
  };
  for (std::size_t k = 0;; ++k) {
    const double t = l.from_s + static_cast<double>(k) / l.rate_hz;
    if (t > to_s) break;
    const double d = 1e-4;
    const auto v = [&](double s) { return lift.velocity_mps(std::clamp(s, 0.0, lift.length_s())); };
    const bool moving = std::abs(v(t)) > 1e-6 || std::abs(v(t + 0.3)) > 1e-6;
    const double w = 2.0 * kPi * 0.4;
    const double tw = 2.0 * kPi * 9.0;
    Eigen::Vector3d force(moving ? -l.sway_m * w * w * std::sin(w * t) : 0.0,
                          moving ? -0.5 * l.sway_m * w * w * std::cos(1.3 * w * t) : 0.0,
                          (v(t + d) - v(t - d)) / (2.0 * d) + kG);
    if (moving) force.z() -= l.tremble_m * tw * tw * std::sin(tw * t);
    const Eigen::Quaterniond q = attitude(t);
    Eigen::Vector3d f = q.conjugate() * force;
    f = f.cwiseProduct(l.accel_scale) + l.accel_offset_mps2 + white(accel_sigma);
    Eigen::Vector3d rate = Eigen::Vector3d::Zero();
    if (l.gyroscope) {
      const double e = 1e-5;
      const Eigen::AngleAxisd turn(attitude(t - e).conjugate() * attitude(t + e));
      rate = turn.axis() * turn.angle() / (2.0 * e) * l.rate_scale + l.rate_bias_radps +
             white(rate_sigma);
    }
    kinetics::SensorSample s;
    for (int i = 0; i < 3; ++i) {
      if (std::abs(f[i]) >= l.range_mps2) {
        s.clipped = true;
        log.accel_range_mps2 = l.range_mps2;
      }
      f[i] = std::clamp(f[i], -l.range_mps2, l.range_mps2);
    }
    s.t_s = t - l.from_s + l.jitter_s * normal(random);
    if (!log.samples.empty()) s.t_s = std::max(s.t_s, log.samples.back().t_s + 1e-5);
    s.accel_mps2 = f.cast<float>();
    s.rate_radps = rate.cast<float>();
    log.samples.push_back(s);
  }
  log.rows = log.samples.size();
  return log;
}

}  // namespace kinetics_test
