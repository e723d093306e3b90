#pragma once

#include <cstddef>
#include <type_traits>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/motion.h"

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

/// How the errors of a state hang together with themselves and with later ones; as DriftLink.
template <int N>
struct StateLink {
  Eigen::Matrix<double, N, N> covariance = Eigen::Matrix<double, N, N>::Zero();
  Eigen::Matrix<double, N, N> gain = Eigen::Matrix<double, N, N>::Zero();
};

/// Result, one entry per instant.
template <int N>
struct SmoothedStates {
  /// Those of a log alone are the motion's own: they are handed on, not copied.
  using Link =
      std::conditional_t<N == DriftLink::Matrix::RowsAtCompileTime, DriftLink, StateLink<N>>;
  std::vector<Eigen::Matrix<double, N, 1>> states;
  std::vector<Link> links;  ///< the last one's gain is 0
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

/// Takes the transition over a step to each column of `m`: height, velocity and acceleration go on,
/// the accelerometer's error (the fourth) fades, the rest stays.
template <int N, int Columns>
void go_on(const StateStep& step, Eigen::Matrix<double, N, Columns>& m) {
  const double dt = step.dt_s;
  m.row(0) += dt * m.row(1) + 0.5 * dt * dt * m.row(2);
  m.row(1) += dt * m.row(2);
  m.row(3) *= step.error_kept;
}

/// Covariance after step `i`, from `fp`, the transition times the covariance before it.
template <int N>
[[nodiscard]] Eigen::Matrix<double, N, N> covariance_after(const StateModel<N>& model,
                                                           std::size_t i,
                                                           const Eigen::Matrix<double, N, N>& fp) {
  const StateStep& step = model.steps[i];
  const double dt = step.dt_s;
  Eigen::Matrix<double, N, N> p = fp;
  p.col(0) += dt * p.col(1) + 0.5 * dt * dt * p.col(2);
  p.col(1) += dt * p.col(2);
  p.col(3) *= step.error_kept;
  p.template topLeftCorner<3, 3>() += step.jerk_psd_m2ps5 * white_jerk_noise(dt);
  p(0, 0) += step.height_variance_m2;
  p.diagonal().template tail<N - 3>() += model.wander[i];
  return 0.5 * (p + p.transpose());
}

/// fpᵀ·p⁻¹ for a covariance p. A state that is known for certain gains nothing.
template <int N>
void solve_gain(Eigen::Matrix<double, N, N> p,
                const Eigen::Matrix<double, N, N>& fp,
                Eigen::Matrix<double, N, N>& gain) {
  // p = L·D·Lᵀ in place, L below the diagonal; then column by column of the gain.
  Eigen::Matrix<double, N, 1> inverse;
  for (int k = 0; k < N; ++k) {
    inverse[k] = p(k, k) > 0.0 ? 1.0 / p(k, k) : 0.0;
    for (int j = k + 1; j < N; ++j) {
      const double share = p(j, k) * inverse[k];
      for (int i = j; i < N; ++i) p(i, j) -= share * p(i, k);
    }
    for (int j = k + 1; j < N; ++j) p(j, k) *= inverse[k];
  }
  gain = fp.transpose();
  for (int k = 0; k < N; ++k) {
    for (int j = k + 1; j < N; ++j) gain.col(j) -= p(j, k) * gain.col(k);
  }
  for (int k = N - 1; k >= 0; --k) {
    gain.col(k) *= inverse[k];
    for (int j = k + 1; j < N; ++j) gain.col(k) -= p(j, k) * gain.col(j);
  }
}

/// Filters forwards and smooths backwards. What `out` held makes room for the result.
///
/// Cost    O(instants); keeps two N×N matrices for each.
/// Source  H. E. Rauch, F. Tung, C. T. Striebel, AIAA J. 3(8):1445-1450, 1965.
template <int N>
void smooth_states(const StateModel<N>& model, SmoothedStates<N>& out) {
  using State = typename StateModel<N>::State;
  using Covariance = typename StateModel<N>::Covariance;
  const std::size_t n = model.steps.size() + 1;
  KINETICS_ASSERT(model.wander.size() == model.steps.size());
  out.states.resize(n);
  out.links.resize(n);
  State x = model.first;
  Covariance p = model.first_variance.asDiagonal();
  auto reading = model.readings.begin();
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0) {
      go_on(model.steps[i - 1], x);
      Covariance fp = p;
      go_on(model.steps[i - 1], fp);
      p = covariance_after(model, i - 1, fp);
      solve_gain(p, fp, out.links[i - 1].gain);
    }
    for (; reading != model.readings.end() && reading->at == i; ++reading) {
      const State ph = p * reading->row;
      const double total = reading->row.dot(ph) + reading->variance;
      const double innovation = reading->value - reading->row.dot(x);
      const State gain = ph / total;
      x += gain * innovation;
      p -= gain * ph.transpose();
    }
    out.states[i] = x;
    out.links[i].covariance = p;
  }
  KINETICS_ASSERT(reading == model.readings.end());
  out.links.back().gain.setZero();
  for (std::size_t i = n - 1; i-- > 0;) {
    // The prediction is made again from what was filtered: cheaper than to keep it.
    State foretold = out.states[i];
    go_on(model.steps[i], foretold);
    Covariance& covariance = out.links[i].covariance;
    Covariance fp = covariance;
    go_on(model.steps[i], fp);
    const Covariance& g = out.links[i].gain;
    const Covariance less = out.links[i + 1].covariance - covariance_after(model, i, fp);
    out.states[i] += g * (out.states[i + 1] - foretold);
    covariance += (g * less) * g.transpose();
    covariance = 0.5 * (covariance + covariance.transpose()).eval();
  }
}

template <int N>
[[nodiscard]] SmoothedStates<N> smooth_states(const StateModel<N>& model) {
  SmoothedStates<N> out;
  smooth_states(model, out);
  return out;
}

}  // namespace kinetics
