#include "libkinetics/kinematics/extremum.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

// A smoother's covariance holds two errors: the noise it lets through, and the true motion it
// smooths away. With white jerk the noise that is let through has these shares of the variance
// (the integrals of u^2k H^2 over those of u^2k H, with H = 1/(1 + u^6)): 1/2 of the velocity's
// and 1/6 of the acceleration's. Only that part makes a maximum move.
constexpr double kNoiseShareOfVelocity = 1.0 / 2.0;
constexpr double kNoiseShareOfAccel = 1.0 / 6.0;
// At a peak the motion is smooth and hardly any of it is smoothed away. A dip half way is sharper;
// this much of the variance is counted there. By the coverage test.
constexpr double kDipShareOfVelocity = 0.55;
// The velocity's curvature at a peak is taken over this much of the concentric phase either side:
// closer in it is mostly noise.
constexpr double kPeakShoulder = 0.08;

double square(double x) {
  return x * x;
}

}  // namespace

double lasting_sigma(const Motion& motion, double t_s) {
  constexpr std::size_t kBeside = 3;
  const std::size_t at = sample_before(motion, t_s);
  const std::size_t from = at > kBeside ? at - kBeside : 0;
  double largest = 0.0;
  for (std::size_t i = from; i < std::min(at + kBeside + 1, motion.samples.size()); ++i) {
    largest = std::max(largest, motion.samples[i].lasting_sigma_m);
  }
  return largest;
}

double with_shared(const Motion& motion, double own_sigma, double velocity) {
  const double scale = motion.scale_sigma_rel * velocity;
  const double shutter = motion.shutter_sigma_s_per_m * velocity * velocity;
  return std::sqrt(square(own_sigma) + square(scale) + square(shutter));
}

std::vector<MotionSample> sweep(const Motion& motion, double from_s, double to_s, int steps) {
  std::vector<MotionSample> out;
  out.reserve(static_cast<std::size_t>(steps) + 1);
  for (int i = 0; i <= steps; ++i) {
    out.push_back(state_at(motion, from_s + (to_s - from_s) * i / steps));
  }
  return out;
}

Extremum extremum_at(const Motion& motion, double t_s, int direction, double from_s, double to_s) {
  const double duration = to_s - from_s;
  const MotionSample at = state_at(motion, t_s);
  const double shoulder = kPeakShoulder * duration;
  const double left = std::max(t_s - shoulder, from_s);
  const double right = std::min(t_s + shoulder, to_s);
  const double fall = direction * (2.0 * at.velocity_mps - state_at(motion, left).velocity_mps -
                                   state_at(motion, right).velocity_mps);
  const double curvature = 2.0 * std::max(fall, 1e-6) / (square(t_s - left) + square(right - t_s));
  // Errors that last lift or lower the whole hump and leave its maximum where it is.
  const bool lasts = !motion.drift.empty();
  const double slope_variance = lasts ? 0.0 : kNoiseShareOfAccel * square(at.accel_sigma_mps2);
  const double noise = std::sqrt(kNoiseShareOfVelocity) * at.velocity_sigma_mps;
  // Where the top is flat the formula has no bound, but one noise sigma is as far as it can go.
  const double bias = std::min(slope_variance / (2.0 * curvature), noise);
  const double seen = direction > 0 ? kNoiseShareOfVelocity : kDipShareOfVelocity;
  const double share = lasts ? 1.0 : seen;
  const double own =
      std::hypot(std::sqrt(share) * at.velocity_sigma_mps, lasting_sigma(motion, t_s) / kLasting_s);
  return {.t_s = t_s,
          .velocity_mps = at.velocity_mps - direction * bias,
          .sigma_mps = std::hypot(own, 0.5 * bias),
          .t_sigma_s = std::min(std::sqrt(slope_variance) / curvature, 0.25 * duration),
          .curvature_mps3 = curvature,
          .noise_mps = std::max(noise, 1e-9)};
}

}  // namespace kinetics
