// The covariance carried from sample to sample is that of one dense Gaussian: prior and sightings
// of all instants in one matrix, conditioned by a plain Cholesky solve. No recursion, no smoother.
#include "libkinetics/kinematics/posterior.h"

#include <cmath>
#include <vector>

#include <Eigen/Cholesky>
#include <catch2/catch.hpp>

#include "libkinetics/kinematics/white_jerk.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

// Dense covariance, given the sightings, of the states at all samples and one instant between each
// two of them.
struct Dense {
  std::vector<double> times_s;
  Eigen::MatrixXd covariance;
};

Dense dense(const Motion& motion) {
  Dense out;
  std::vector<double> psd;
  for (std::size_t i = 0; i < motion.samples.size(); ++i) {
    out.times_s.push_back(motion.samples[i].t_s);
    if (i + 1 == motion.samples.size()) break;
    out.times_s.push_back(0.3 * motion.samples[i].t_s + 0.7 * motion.samples[i + 1].t_s);
    psd.push_back(motion.links[i].jerk_psd_m2ps5);
    psd.push_back(motion.links[i].jerk_psd_m2ps5);
  }
  const auto n = static_cast<Eigen::Index>(out.times_s.size());
  Eigen::MatrixXd prior = Eigen::MatrixXd::Zero(3 * n, 3 * n);
  Eigen::Matrix3d here = Eigen::Vector3d(1.0, 9.0, 400.0).asDiagonal();
  for (Eigen::Index i = 0; i < n; ++i) {
    prior.block<3, 3>(3 * i, 3 * i) = here;
    Eigen::Matrix3d across = here;
    for (Eigen::Index j = i + 1; j < n; ++j) {
      const auto k = static_cast<std::size_t>(j);
      across = (jerk_transition(out.times_s[k] - out.times_s[k - 1]) * across).eval();
      prior.block<3, 3>(3 * j, 3 * i) = across;
      prior.block<3, 3>(3 * i, 3 * j) = across.transpose();
    }
    if (i + 1 == n) break;
    const auto k = static_cast<std::size_t>(i);
    const double dt = out.times_s[k + 1] - out.times_s[k];
    const Eigen::Matrix3d f = jerk_transition(dt);
    here = (f * here * f.transpose() + psd[k] * full(jerk_noise(dt))).eval();
  }
  const auto seen = static_cast<Eigen::Index>(motion.samples.size());
  Eigen::MatrixXd of_seen = Eigen::MatrixXd::Zero(seen, 3 * n);
  for (Eigen::Index i = 0; i < seen; ++i) of_seen(i, 6 * i) = 1.0;
  Eigen::MatrixXd total = of_seen * prior * of_seen.transpose();
  for (Eigen::Index i = 0; i < seen; ++i) {
    total(i, i) += motion.links[static_cast<std::size_t>(i)].sighting_variance_m2;
  }
  const Eigen::MatrixXd cross = of_seen * prior;
  out.covariance = prior - cross.transpose() * total.ldlt().solve(cross);
  return out;
}

}  // namespace

TEST_CASE("covariances over time are those of one dense Gaussian", "[kinematics]") {
  Lift lift(0.2);
  lift.rest(0.2).rep(0.3, 0.6).rest(0.2);
  const Motion motion = estimate_motion(
      filmed(lift, {.rate_hz = 30.0, .sigma_m = 0.002, .jitter_s = 0.004, .seed = 3}));
  const Dense want = dense(motion);
  const auto n = want.times_s.size();
  // Three numbers: a difference of velocities, an acceleration between two samples, and an average
  // of heights over everything.
  std::vector<StateForm> forms(3);
  forms[0] = {{want.times_s[12], {0.0, 1.0, 0.0}}, {want.times_s[30], {0.0, -1.0, 0.0}}};
  forms[1] = {{want.times_s[21], {0.0, 0.0, 1.0}}};
  for (std::size_t i = 0; i < n; i += 2) forms[2].push_back({want.times_s[i], {1.0, 0.1, 0.0}});
  Eigen::MatrixXd weights = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(3 * n), 3);
  for (std::size_t k = 0; k < 3; ++k) {
    for (const StateWeight& w : forms[k]) {
      for (std::size_t i = 0; i < n; ++i) {
        if (std::abs(want.times_s[i] - w.t_s) > 1e-9) continue;
        weights.block<3, 1>(static_cast<Eigen::Index>(3 * i), static_cast<Eigen::Index>(k)) +=
            w.weight;
      }
    }
  }
  const Eigen::MatrixXd expected = weights.transpose() * want.covariance * weights;
  const Eigen::MatrixXd got = covariance_of(motion, forms);
  for (Eigen::Index i = 0; i < 3; ++i) {
    for (Eigen::Index j = 0; j < 3; ++j) {
      CAPTURE(i, j, got(i, j), expected(i, j));
      const double scale = std::sqrt(expected(i, i) * expected(j, j));
      CHECK(std::abs(got(i, j) - expected(i, j)) < 0.002 * scale);
    }
  }
}

TEST_CASE("the state right beside a sample is the sample's own", "[kinematics]") {
  // An instant a billionth of a frame away once made the interpolation cancel to nonsense.
  Lift lift(0.2);
  lift.rest(0.5).rep(0.5, 1.0).rest(0.5);
  const Motion motion =
      estimate_motion(filmed(lift, {.rate_hz = 120.0, .sigma_m = 0.0015, .seed = 8}));
  for (std::size_t i = 0; i + 1 < motion.samples.size(); ++i) {
    const MotionSample& a = motion.samples[i];
    const MotionSample& b = motion.samples[i + 1];
    for (const double part : {1e-9, 1e-7, 1e-5, 0.9e-3, 1.1e-3}) {
      const double dt = part * (b.t_s - a.t_s);
      CHECK(std::abs(state_at(motion, a.t_s + dt).accel_mps2 - a.accel_mps2) < 0.05);
      CHECK(std::abs(state_at(motion, b.t_s - dt).accel_mps2 - b.accel_mps2) < 0.05);
    }
  }
}
