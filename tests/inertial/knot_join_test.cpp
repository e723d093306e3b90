// The batch estimate's term between two knots: its derivatives against numeric ones by Ceres' own
// gradient checker (Ridders' method), and its residuals against a motion known in closed form.
#include "libkinetics/inertial/knot_join.h"

// clang-format off: Ceres brings a CHECK of its own; Catch's must be the last.
#include <ceres/ceres.h>
#include <ceres/gradient_checker.h>
// clang-format on

#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/inertial/bins.h"

using namespace kinetics;

namespace {

constexpr double kGravity_mps2 = 9.81;

// A sensor that goes round an axis of its own while the bar accelerates evenly: as condensed
// readings without error.
struct Turning {
  Eigen::Quaterniond first{Eigen::AngleAxisd(0.7, Eigen::Vector3d(0.2, 0.9, -0.4).normalized())};
  Eigen::Vector3d rate_radps{0.4, 2.1, -0.3};
  Eigen::Vector3d accel_mps2{0.3, -0.2, 1.4};

  [[nodiscard]] Eigen::Quaterniond at(double t_s) const {
    return first * turn_by(rate_radps * t_s);
  }
};

std::vector<Bin> bins_of(const Turning& motion, std::size_t count, double dt_s) {
  std::vector<Bin> out(count);
  for (std::size_t i = 0; i < count; ++i) {
    Bin& b = out[i];
    b.t_s = dt_s * static_cast<double>(i);
    const Eigen::Vector3d force = motion.accel_mps2 + Eigen::Vector3d(0.0, 0.0, kGravity_mps2);
    b.accel_mps2 = motion.at(b.t_s).conjugate() * force;
    b.size_mps2 = b.accel_mps2.norm();
    b.rate_radps = motion.rate_radps;
    b.turn = i == 0 ? Eigen::Quaterniond::Identity() : turn_by(motion.rate_radps * dt_s);
  }
  return out;
}

struct Unknowns {
  double knot0[kKnotSize] = {};
  double knot1[kKnotSize] = {};
  double shared[kSharedSize] = {};
};

void set_knot(double* knot, const Eigen::Quaterniond& q, const Eigen::Vector3d& v) {
  Eigen::Map<Eigen::Quaterniond>{knot} = q;
  Eigen::Map<Eigen::Vector3d>(knot + 4) = v;
}

}  // namespace

TEST_CASE("the term between two knots vanishes on the motion it was made of", "[inertial]") {
  const Turning motion;
  const std::vector<Bin> bins = bins_of(motion, 51, 0.01);
  const KnotJoin join({.in = integrate(bins, 0, 50, {}), .gravity_mps2 = kGravity_mps2});
  Unknowns u;
  set_knot(u.knot0, motion.at(0.0), {0.1, 0.0, -0.2});
  set_knot(u.knot1, motion.at(0.5), Eigen::Vector3d(0.1, 0.0, -0.2) + 0.5 * motion.accel_mps2);
  const double* const all[] = {u.knot0, u.knot1, u.shared};
  double residuals[6];
  REQUIRE(join.Evaluate(all, residuals, nullptr));
  for (const double r : residuals) CHECK(std::abs(r) < 1e-10);
}

TEST_CASE("the term between two knots has the derivatives that differences show", "[inertial]") {
  const std::vector<Bin> bins = bins_of({}, 51, 0.01);
  const GyroErrors errors{.rate_bias_radps = {0.01, -0.02, 0.005},
                          .main_axis = Eigen::Vector3d(0.4, 2.1, -0.3).normalized()};
  const KnotJoin join({.in = integrate(bins, 0, 50, errors),
                       .gravity_mps2 = kGravity_mps2,
                       .turn_sigma_rad = 0.01,
                       .gain_sigma_mps = 0.03,
                       .rate0_radps = {0.4, 2.1, -0.3},
                       .rate1_radps = {0.2, 1.7, 0.1}});
  const ceres::ProductManifold<ceres::EigenQuaternionManifold, ceres::EuclideanManifold<3>> knot;
  const ceres::EuclideanManifold<kSharedSize> euclidean;
  const std::vector<const ceres::Manifold*> manifolds{&knot, &knot, &euclidean};
  const ceres::GradientChecker checker(&join, &manifolds, ceres::NumericDiffOptions());
  std::mt19937 random(11);
  std::normal_distribution<double> normal(0.0, 1.0);
  const auto vector = [&](double size) {
    return Eigen::Vector3d(size * normal(random), size * normal(random), size * normal(random));
  };
  for (int round = 0; round < 20; ++round) {
    CAPTURE(round);
    Unknowns u;
    set_knot(u.knot0, turn_by(vector(1.0)), vector(1.0));
    set_knot(u.knot1, turn_by(vector(1.0)), vector(1.0));
    for (double& s : u.shared) s = 0.05 * normal(random);
    const double* const all[] = {u.knot0, u.knot1, u.shared};
    ceres::GradientChecker::ProbeResults found;
    const bool same = checker.Probe(all, 1e-7, &found);
    INFO(found.error_log);
    CHECK(same);
  }
}
