#include "libkinetics/inertial/position_log.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

// An encoder that does not show its step, and what the cable's spool and angle add (common
// practice, no source).
constexpr double kLeastSigma_m = 0.0003;
constexpr double kScaleSigma = 0.003;

}  // namespace

BarPath path_of_positions(const SensorLog& log) {
  BarPath path;
  path.scale_sigma_rel = kScaleSigma;
  path.stamp_sigma_s = log.stamp_sigma_s;
  // Rounding to a step leaves an error spread evenly over it.
  const double sigma = std::max(kLeastSigma_m, log.height_step_m / std::sqrt(12.0));
  path.points.reserve(log.positions.size());
  for (const PositionSample& p : log.positions) {
    path.points.push_back(
        {.t_s = p.t_s, .y_m = p.height_m, .sigma_x_m = 0.001, .sigma_y_m = sigma});
  }
  return path;
}

Motion motion_of_positions(const SensorLog& log) {
  return estimate_motion(path_of_positions(log));
}

}  // namespace kinetics
