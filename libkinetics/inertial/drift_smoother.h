#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include "libkinetics/core/error.h"

/// The motion model inside estimate_log_motion: height, velocity and acceleration of a bar whose
/// jerk is white noise, the error of the accelerometer along the vertical, and unknowns that
/// change rarely or never. Filter and smoother.
///
/// Internal to the room.

namespace kinetics {

/// One scalar seen at one instant: row · state = value, give or take its variance.
template <int N>
struct StateReading {
  std::size_t at = 0;                                                     ///< index of the instant
  Eigen::Matrix<double, N, 1> row = Eigen::Matrix<double, N, 1>::Zero();  ///< as a column
  double value = 0.0;
  double variance = 1.0;
};

/// What happens between an instant and the next.
struct StateStep {
  double dt_s = 0.0;
  double jerk_psd_m2ps5 = 0.0;
  double height_variance_m2 = 0.0;  ///< the sensor went up or down by so much without the bar
  double error_kept = 1.0;          ///< share of the accelerometer's error that lasts over it
};

/// How the state goes on over a step; the fourth is the accelerometer's error.
template <int N>
[[nodiscard]] Eigen::Matrix<double, N, N> transition_over(const StateStep& step) {
  Eigen::Matrix<double, N, N> f = Eigen::Matrix<double, N, N>::Identity();
  f(0, 1) = f(1, 2) = step.dt_s;
  f(0, 2) = 0.5 * step.dt_s * step.dt_s;
  f(3, 3) = step.error_kept;
  return f;
}

template <int N>
struct StateModel {
  using State = Eigen::Matrix<double, N, 1>;
  using Covariance = Eigen::Matrix<double, N, N>;
  State first = State::Zero();
  State first_variance = State::Ones();
  std::vector<StateStep> steps;  ///< one fewer than instants
  /// Variance that the states after the third gain over each step.
  std::vector<Eigen::Matrix<double, N - 3, 1>> wander;
  std::vector<StateReading<N>> readings;  ///< in order of `at`
};

/// Result, one entry per instant.
template <int N>
struct SmoothedStates {
  std::vector<Eigen::Matrix<double, N, 1>> states;
  std::vector<Eigen::Matrix<double, N, N>> covariances;
  /// Error now = gain · error at the next instant + something independent of all that is later.
  std::vector<Eigen::Matrix<double, N, N>> gains;
  double normalised_square = 0.0;  ///< sum over the readings' innovations
};

/// State noise of height, velocity and acceleration for a jerk density of 1 m²/s⁵.
[[nodiscard]] inline Eigen::Matrix3d white_jerk_noise(double dt) {
  const double d2 = dt * dt;
  const double d3 = d2 * dt;
  Eigen::Matrix3d q;
  q << d3 * d2 / 20.0, d2 * d2 / 8.0, d3 / 6.0, d2 * d2 / 8.0, d3 / 3.0, d2 / 2.0, d3 / 6.0,
      d2 / 2.0, dt;
  return q;
}

/// Filters forwards and smooths backwards.
///
/// Cost    O(instants); keeps three N×N matrices for each.
/// Source  H. E. Rauch, F. Tung, C. T. Striebel, AIAA J. 3(8):1445-1450, 1965.
template <int N>
[[nodiscard]] SmoothedStates<N> smooth_states(const StateModel<N>& model) {
  using State = typename StateModel<N>::State;
  using Covariance = typename StateModel<N>::Covariance;
  const std::size_t n = model.steps.size() + 1;
  KINETICS_ASSERT(model.wander.size() == model.steps.size());
  SmoothedStates<N> out;
  out.states.resize(n);
  out.covariances.resize(n);
  out.gains.resize(n - 1);
  std::vector<State> predicted(n);
  State x = model.first;
  Covariance p = model.first_variance.asDiagonal();
  auto reading = model.readings.begin();
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0) {
      const StateStep& step = model.steps[i - 1];
      const Covariance f = transition_over<N>(step);
      x = (f * x).eval();
      // Rows of P that the transition changes are the first three only; N is small enough for all.
      const Covariance fp = f * p;
      Covariance next = fp * f.transpose();
      next.template topLeftCorner<3, 3>() += step.jerk_psd_m2ps5 * white_jerk_noise(step.dt_s);
      next(0, 0) += step.height_variance_m2;
      next.diagonal().template tail<N - 3>() += model.wander[i - 1];
      next = 0.5 * (next + next.transpose()).eval();
      out.gains[i - 1] = next.ldlt().solve(fp).transpose();
      p = next;
    }
    predicted[i] = x;
    for (; reading != model.readings.end() && reading->at == i; ++reading) {
      const State ph = p * reading->row;
      const double total = reading->row.dot(ph) + reading->variance;
      const double innovation = reading->value - reading->row.dot(x);
      out.normalised_square += innovation * innovation / total;
      const State gain = ph / total;
      x += gain * innovation;
      p -= gain * ph.transpose();
    }
    out.states[i] = x;
    out.covariances[i] = p;
  }
  KINETICS_ASSERT(reading == model.readings.end());
  for (std::size_t i = n - 1; i-- > 0;) {
    // What the step adds is known only as filtered-to-predicted, so the prediction is rebuilt.
    const StateStep& step = model.steps[i];
    const Covariance f = transition_over<N>(step);
    Covariance next = f * out.covariances[i] * f.transpose();
    next.template topLeftCorner<3, 3>() += step.jerk_psd_m2ps5 * white_jerk_noise(step.dt_s);
    next(0, 0) += step.height_variance_m2;
    next.diagonal().template tail<N - 3>() += model.wander[i];
    const Covariance& g = out.gains[i];
    out.states[i] += g * (out.states[i + 1] - predicted[i + 1]);
    out.covariances[i] += g * (out.covariances[i + 1] - next) * g.transpose();
    out.covariances[i] = 0.5 * (out.covariances[i] + out.covariances[i].transpose()).eval();
  }
  return out;
}

}  // namespace kinetics
