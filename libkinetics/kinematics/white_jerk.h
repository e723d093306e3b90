#pragma once

#include <array>
#include <vector>

#include <Eigen/Core>

/// The motion model inside estimate_motion: height, velocity and acceleration of a body whose jerk
/// is white noise, seen through noisy heights at uneven times. Filter, smoother and likelihood.
///
/// Internal to the room. Its posterior mean is the quintic smoothing spline of the heights.

namespace kinetics {

/// Height, velocity, acceleration.
using JerkState = Eigen::Vector3d;

/// One height to fit. `variance_m2` is infinite (`seen` false) where nothing was sighted.
struct HeightSighting {
  double t_s = 0.0;
  double height_m = 0.0;
  double variance_m2 = 0.0;
  bool seen = true;
};

/// Symmetric 3×3 covariance of a JerkState, its upper triangle.
struct JerkCovariance {
  double hh = 0.0;
  double hv = 0.0;
  double ha = 0.0;
  double vv = 0.0;
  double va = 0.0;
  double aa = 0.0;
};

/// Result of the smoother, one entry per sighting.
struct SmoothedHeights {
  std::vector<JerkState> states;
  std::vector<JerkCovariance> covariances;
  /// Covariance between the state at i and at i + 1 (one entry fewer than states).
  std::vector<Eigen::Matrix3d> to_next;
  std::vector<double> innovations;  ///< normalised, in filter order; 0 where not seen
  double log_likelihood = 0.0;      ///< of all sightings but the first
};

/// State noise between two instants, for a jerk density of 1 m²/s⁵ (van Loan's integral, closed).
[[nodiscard]] JerkCovariance jerk_noise(double dt_s);

/// Carries a state `dt_s` forwards without noise.
[[nodiscard]] Eigen::Matrix3d jerk_transition(double dt_s);

/// Log-density of each sighting given those before it, for one jerk density throughout; 0 for
/// sightings that were not seen and the three that fix the state. Runs backwards in time when
/// `backwards` is set; entry i then tells of sighting i given those after it.
[[nodiscard]] std::vector<float> log_densities(const std::vector<HeightSighting>& sightings,
                                               double jerk_psd_m2ps5,
                                               bool backwards);

/// What one pass of the filter says about a pair of noise levels.
struct FitQuality {
  double mean_square = 0.0;  ///< of the normalised innovations
  double sum_log_variance = 0.0;
  std::size_t count = 0;
};

[[nodiscard]] FitQuality fit_quality(const std::vector<HeightSighting>& sightings,
                                     double jerk_psd_m2ps5);

/// What is known of velocity and acceleration before the first sighting: zero, give or take this.
struct FirstState {
  double velocity_variance_m2ps2 = 9.0;
  double accel_variance_m2ps4 = 400.0;
};

/// Smooths with a jerk density per interval: `jerk_psd_m2ps5[i]` acts between i and i + 1.
///
/// Source  J. Durbin, S. J. Koopman, Time Series Analysis by State Space Methods, 2nd ed. 2012,
///         ch. 4 (from memory): the same answer as Rauch, Tung and Striebel (AIAA J. 3(8), 1965)
///         without inverting a covariance, which an exact sighting makes nearly singular.
[[nodiscard]] SmoothedHeights smooth_heights(const std::vector<HeightSighting>& sightings,
                                             const std::vector<double>& jerk_psd_m2ps5,
                                             const FirstState& first = {});

/// State between two smoothed instants under the same model.
struct BridgedState {
  JerkState state;
  Eigen::Matrix3d covariance;
};

/// `fraction` of the way from one instant to the next, 0 to 1.
[[nodiscard]] BridgedState bridge(const JerkState& from,
                                  const JerkState& to,
                                  const JerkCovariance& from_covariance,
                                  const JerkCovariance& to_covariance,
                                  const Eigen::Matrix3d& from_to,
                                  double dt_s,
                                  double fraction,
                                  double jerk_psd_m2ps5);

[[nodiscard]] Eigen::Matrix3d full(const JerkCovariance& c);

}  // namespace kinetics
