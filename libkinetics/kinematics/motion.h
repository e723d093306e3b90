#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/core/note.h"
#include "libkinetics/tracking/bar_path.h"

/// Velocity and acceleration of the bar, with their uncertainty, from its measured path.

namespace kinetics {

enum class SmoothingMethod {
  kKalman,       ///< jerk as white noise of changing density; gives uncertainties
  kButterworth,  ///< zero-lag low-pass on even samples, for comparison with the literature
};

/// How the path is smoothed before it is differentiated.
struct MotionOptions {
  SmoothingMethod method = SmoothingMethod::kKalman;
  /// Power spectral density of the jerk, m²/s⁵. Larger follows fast turns and passes more noise.
  /// Left empty it is learnt from the path, moment by moment.
  std::optional<double> jerk_psd_m2ps5 = std::nullopt;
  /// Longest hole bridged by the motion model, s. Inside a longer one nothing is measured.
  double max_gap_s = 0.25;
  /// Half-power frequency of the Butterworth method, Hz. Left empty: Winter's residual analysis.
  std::optional<double> cutoff_hz = std::nullopt;
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
  double x_sigma_m = 0.0;
  double lasting_sigma_m = 0.0;  ///< copied from the path (see PathPoint); 0 where nothing was seen
  bool measured = true;          ///< false inside a hole longer than max_gap_s
  /// No bar could have come here from where it was seen before: one of the two is not the bar.
  bool jumped = false;
};

/// What the smoother knows beyond a sample's own sigmas: how the state hangs together with itself
/// and with that of the next sample. Order height, velocity, acceleration; SI.
struct MotionLink {
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d to_next = Eigen::Matrix3d::Zero();
  double jerk_psd_m2ps5 = 0.0;  ///< from this sample to the next
  /// The height may go up or down until the next sample by more than the velocity makes it, by this
  /// variance: a sensor beside the axis of a bar that turns.
  double slack_m2 = 0.0;
  bool joined = false;                ///< false where the next sample lies beyond a hole
  double sighting_m = 0.0;            ///< the height that was measured here
  double sighting_variance_m2 = 0.0;  ///< as weighed by the smoother; 0 when nothing was seen
};

/// How errors that last hang together over a whole phase: those of an integrated accelerometer.
/// Order height, velocity, acceleration, then what is unknown besides (the sensor's error and the
/// like).
struct DriftLink {
  using Matrix = Eigen::Matrix<double, 5, 5>;
  Matrix covariance = Matrix::Zero();
  /// Error here = gain · error at the next sample + something independent of all later errors.
  Matrix gain = Matrix::Zero();
};

struct Motion {
  std::vector<MotionSample> samples;
  /// One per sample, or empty (Butterworth, or a motion read back from a file): then state_at
  /// interpolates the samples' own sigmas.
  std::vector<MotionLink> links;
  /// One per sample where errors last, or empty: then those of a phase's two ends are independent.
  std::vector<DriftLink> drift;
  double jerk_psd_m2ps5 = 0.0;  ///< given, or the middle one of the moving stretches
  double noise_scale = 1.0;     ///< the path's own sigmas had to be multiplied by this to fit it
  double cutoff_hz = 0.0;       ///< of the Butterworth method, else 0
  std::size_t gaps_bridged = 0;
  std::size_t points_rejected = 0;  ///< sightings that no bar could have joined to their neighbours
  /// Copied from the path: errors that all samples share (see BarPath).
  double scale_sigma_rel = 0.0;
  double shutter_sigma_s_per_m = 0.0;
  double stamp_sigma_s = 0.0;
  double slow_time_sigma_s = 0.0;
  double hold_sigma_m = 0.0;
};

/// Estimates the bar's motion along a whole clip or log.
///
/// Shape     one sample out per point in, at the same times; 4 seen points or more.
/// Frame     gym: x level in the plane of the lift, height up, origin where the path began.
/// Units     SI. Spacing may be uneven.
/// Errors    Error{kInternal} from check(path) when times do not strictly increase;
///           Error{kUnreadable} with fewer than 4 seen points; Error{kUsage} for options out of
///           range. Noise and holes never throw: they widen the sigmas or clear `measured`.
/// Cost      O(n) time and memory.
/// Source    H. E. Rauch, F. Tung, C. T. Striebel, AIAA J. 3(8):1445-1450, 1965, for the smoother.
///           Its mean is the quintic smoothing spline. We let the jerk's density change with time.
[[nodiscard]] Motion estimate_motion(const BarPath& path, const MotionOptions& options = {});

/// The state at any instant from the first sample to the last, by the model's own interpolation (a
/// quintic between samples), with its covariance. `measured` is false inside holes.
[[nodiscard]] MotionSample state_at(const Motion& motion, double t_s);

/// Covariance of the errors of height and velocity at one instant (first two) and at a later one
/// (last two). Without `drift` those of different instants are independent.
[[nodiscard]] Eigen::Matrix4d joint_covariance(const Motion& motion, double from_s, double to_s);

/// Index of the last sample at or before `t_s`; 0 when there is none.
[[nodiscard]] std::size_t sample_before(const Motion& motion, double t_s);

}  // namespace kinetics
