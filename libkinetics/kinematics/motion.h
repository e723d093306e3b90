#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/tracking/bar_path.h"

/// Velocity and acceleration of the bar, with their uncertainty, from its measured path.

namespace kinetics {

/// How the path is smoothed before it is differentiated.
struct MotionOptions {
  /// Power spectral density of the jerk, m²/s⁵. Larger follows fast turns and passes more noise.
  /// Left empty it is estimated from the path by maximum likelihood.
  std::optional<double> jerk_psd_m2ps5;
  /// Longest hole bridged by the motion model, s. Inside a longer one nothing is measured.
  double max_gap_s = 0.25;
};

/// State of the bar at one instant. Height grows upwards.
struct MotionSample {
  double t_s = 0.0;
  double x_m = 0.0;  ///< horizontal place, smoothed
  double height_m = 0.0;
  double velocity_mps = 0.0;  ///< positive while the bar rises
  double accel_mps2 = 0.0;
  double height_sigma_m = 0.0;  ///< 1 sigma each, from the smoother's covariance
  double velocity_sigma_mps = 0.0;
  double accel_sigma_mps2 = 0.0;
  bool measured = true;  ///< false inside a hole longer than max_gap_s
};

struct Motion {
  std::vector<MotionSample> samples;
  double jerk_psd_m2ps5 = 0.0;  ///< the density used, given or estimated
  double noise_scale = 1.0;     ///< the path's own sigmas had to be multiplied by this to fit it
  std::size_t gaps_bridged = 0;
  /// Copied from the path: errors that all samples share (see BarPath).
  double scale_sigma_rel = 0.0;
  double shutter_sigma_s_per_m = 0.0;
  double stamp_sigma_s = 0.0;
};

[[nodiscard]] Motion estimate_motion(const BarPath& path, const MotionOptions& options = {});

}  // namespace kinetics
