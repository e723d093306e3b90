#include "libkinetics/kinematics/posterior.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Cholesky>

#include "libkinetics/kinematics/white_jerk.h"

namespace kinetics {
namespace {

using Eigen::Matrix3d;
using Eigen::MatrixXd;

// X · P⁻¹ for a covariance whose entries differ by many orders of magnitude: scaled to correlations
// first, and hardly regularised, since an exact sighting makes it nearly singular.
MatrixXd over(const MatrixXd& x, const MatrixXd& p) {
  const Eigen::VectorXd scale = p.diagonal().cwiseMax(1e-18).cwiseSqrt();
  const Eigen::VectorXd inverse = scale.cwiseInverse();
  MatrixXd correlation = inverse.asDiagonal() * p * inverse.asDiagonal();
  correlation.diagonal().array() += 1e-9;
  const MatrixXd scaled = x * inverse.asDiagonal();
  return correlation.ldlt().solve(scaled.transpose()).transpose() * inverse.asDiagonal();
}

// The errors at sample i as gain · errors at i + 1 + something independent of all later ones.
struct Step {
  MatrixXd covariance;  // of the errors at i
  MatrixXd gain;
  MatrixXd fresh;
};

Step step_at(const Motion& motion, std::size_t i) {
  if (!motion.drift.empty()) {
    const DriftLink::Matrix& next = motion.drift[i + 1].covariance;
    const DriftLink& link = motion.drift[i];
    return {link.covariance, link.gain, link.covariance - link.gain * next * link.gain.transpose()};
  }
  const MotionLink& link = motion.links[i];
  if (!link.joined) return {link.covariance, Matrix3d::Zero(), link.covariance};
  const MatrixXd gain = over(link.to_next, motion.links[i + 1].covariance);
  return {link.covariance, gain, link.covariance - gain * link.to_next.transpose()};
}

MatrixXd last_covariance(const Motion& motion, std::size_t i) {
  if (!motion.drift.empty()) return motion.drift[i].covariance;
  return motion.links[i].covariance;
}

// What one form asks of each sample, and the variance that the bridges between samples add.
struct Spread {
  std::vector<std::pair<std::size_t, Eigen::Vector3d>> on_samples;
  double between = 0.0;
};

void spread_weight(const Motion& motion, const StateWeight& w, Spread& out) {
  const std::size_t i = sample_before(motion, w.t_s);
  const bool last = i + 1 >= motion.samples.size();
  const double from_s = motion.samples[i].t_s;
  if (last || w.t_s <= from_s) {
    out.on_samples.emplace_back(i, w.weight);
    return;
  }
  const double dt = motion.samples[i + 1].t_s - from_s;
  const double part = w.t_s - from_s;
  if (!motion.drift.empty() || !motion.links[i].joined) {
    out.on_samples.emplace_back(i, (1.0 - part / dt) * w.weight);
    out.on_samples.emplace_back(i + 1, part / dt * w.weight);
    return;
  }
  const Matrix3d noise = full(jerk_noise(part));
  const Matrix3d rest = jerk_transition(dt - part);
  const Matrix3d lean = over(noise * rest.transpose(), full(jerk_noise(dt)));
  const Matrix3d on_first = jerk_transition(part) - lean * jerk_transition(dt);
  out.on_samples.emplace_back(i, on_first.transpose() * w.weight);
  out.on_samples.emplace_back(i + 1, lean.transpose() * w.weight);
  const Matrix3d open = noise - lean * rest * noise;
  out.between += motion.links[i].jerk_psd_m2ps5 * std::max(w.weight.dot(open * w.weight), 0.0);
}

// Without links the samples' own sigmas are all that is known.
MatrixXd independent(const Motion& motion, const std::vector<StateForm>& forms) {
  const auto count = static_cast<Eigen::Index>(forms.size());
  MatrixXd out = MatrixXd::Zero(count, count);
  for (Eigen::Index k = 0; k < count; ++k) {
    for (const StateWeight& w : forms[static_cast<std::size_t>(k)]) {
      const MotionSample s = state_at(motion, w.t_s);
      const Eigen::Vector3d sigma(s.height_sigma_m, s.velocity_sigma_mps, s.accel_sigma_mps2);
      out(k, k) += w.weight.cwiseProduct(sigma).squaredNorm();
    }
  }
  return out;
}

}  // namespace

MatrixXd covariance_of(const Motion& motion, const std::vector<StateForm>& forms) {
  if (motion.drift.empty() && motion.links.empty()) return independent(motion, forms);
  const auto count = static_cast<Eigen::Index>(forms.size());
  MatrixXd total = MatrixXd::Zero(count, count);
  std::vector<Spread> spreads(forms.size());
  std::size_t first = motion.samples.size();
  std::size_t last = 0;
  for (std::size_t k = 0; k < forms.size(); ++k) {
    for (const StateWeight& w : forms[k]) spread_weight(motion, w, spreads[k]);
    const auto at = static_cast<Eigen::Index>(k);
    total(at, at) += spreads[k].between;
    for (const auto& [i, weight] : spreads[k].on_samples) {
      first = std::min(first, i);
      last = std::max(last, i);
    }
  }
  if (first > last) return total;

  const Eigen::Index states = motion.drift.empty() ? 3 : 5;
  std::vector<MatrixXd> weights(last - first + 1, MatrixXd::Zero(states, count));
  for (std::size_t k = 0; k < forms.size(); ++k) {
    for (const auto& [i, weight] : spreads[k].on_samples) {
      weights[i - first].col(static_cast<Eigen::Index>(k)).head<3>() += weight;
    }
  }
  MatrixXd carried = weights.front();
  for (std::size_t i = first; i < last; ++i) {
    const Step step = step_at(motion, i);
    total += carried.transpose() * step.fresh * carried;
    carried = weights[i + 1 - first] + step.gain.transpose() * carried;
  }
  total += carried.transpose() * last_covariance(motion, last) * carried;
  return total;
}

double sigma_of(const Motion& motion, const StateForm& form) {
  return std::sqrt(std::max(covariance_of(motion, {form})(0, 0), 0.0));
}

}  // namespace kinetics
