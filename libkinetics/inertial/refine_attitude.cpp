#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <ceres/ceres.h>
#include <ceres/normal_prior.h>

#include "libkinetics/inertial/attitude.h"
#include "libkinetics/inertial/knot_join.h"

namespace kinetics {
namespace {

constexpr double kKnotEvery_s = 0.5;
// Longer holes part two estimates: nothing is known of the turn within.
constexpr double kLongestHole_s = 0.5;
// What is known of an uncalibrated sensor before it is looked at. Common for such parts, no source.
constexpr double kRateBias_radps = 0.05;
constexpr double kAccelOffset_mps2 = 0.3;
// A scale seen in one attitude cannot be told from an offset, and a smaller one makes every motion
// likelier: so what gravity is off by is laid to the offset, and the scale's own error is stated.
constexpr double kScale = 0.002;
constexpr double kLever_m = 0.04;
constexpr double kTurnScale = 0.01;  // of the turn between knots: axes askew, wrong scale
// Most of the turning is about one axis, the bar's or the sleeve's; what it is misread by adds up
// over many turns and is found from them. This much of it changes from one turn to the next.
constexpr double kMainTurnScale = 0.015;
constexpr double kMainTurnChange = 0.002;
// A bar in use moves this fast, a lying one not at all.
constexpr double kSideways_mps = 0.25;
constexpr double kUpwards_mps = 2.0;
constexpr double kLying_mps = 0.01;
// Noise of the integrated readings: per square root of a second, and per change of velocity.
constexpr double kTurnNoise_rad = 0.004;
constexpr double kVelocityNoise_mps = 0.03;
constexpr double kVelocityScale = 0.01;

struct Knot {
  std::size_t bin = 0;
  bool still = false;
  bool joined = false;  // to the next knot
  std::array<double, kKnotSize> unknowns = {};

  [[nodiscard]] Eigen::Map<Eigen::Quaterniond> world_from_sensor() {
    return Eigen::Map<Eigen::Quaterniond>(unknowns.data());
  }
};

using KnotManifold =
    ceres::ProductManifold<ceres::EigenQuaternionManifold, ceres::EuclideanManifold<3>>;

// A knot's velocity near none, each axis with its own sigma.
class Slow final : public ceres::SizedCostFunction<3, kKnotSize> {
 public:
  explicit Slow(const Eigen::Vector3d& sigma_mps) : per_mps_(sigma_mps.cwiseInverse()) {}

  bool Evaluate(const double* const* knot, double* residuals, double** jacobians) const override {
    const Eigen::Map<const Eigen::Vector3d> velocity(knot[0] + 4);
    Eigen::Map<Eigen::Vector3d>(residuals + 0) = per_mps_.cwiseProduct(velocity);
    if (jacobians == nullptr || jacobians[0] == nullptr) return true;
    Eigen::Map<Eigen::Matrix<double, 3, kKnotSize, Eigen::RowMajor>> j(jacobians[0]);
    j.setZero();
    j.rightCols<3>() = per_mps_.asDiagonal();
    return true;
  }

 private:
  Eigen::Vector3d per_mps_;
};

// All shared unknowns near nought.
ceres::CostFunction* shared_prior(double rate_sigma_radps) {
  using Three = Eigen::Vector3d;
  Eigen::Matrix<double, kSharedSize, 1> sigma;
  sigma.segment<3>(shared_at::kRateBias) = Three::Constant(rate_sigma_radps);
  sigma.segment<3>(shared_at::kMainScale) = Three::Constant(kMainTurnScale);
  sigma.segment<3>(shared_at::kOffset) = Three::Constant(kAccelOffset_mps2);
  sigma.segment<3>(shared_at::kLever) = Three::Constant(kLever_m);
  sigma[shared_at::kScale] = kScale;
  const ceres::Matrix per_sigma = sigma.cwiseInverse().asDiagonal();
  return new ceres::NormalPrior(per_sigma, ceres::Vector::Zero(kSharedSize));
}

// Knots through the active parts; a long rest has one at each end.
std::vector<Knot> place_knots(const std::vector<Bin>& bins,
                              const Stillness& stillness,
                              const Attitude& attitude) {
  std::vector<char> calm(bins.size(), 0);
  for (const CalmStretch& s : stillness.still) {
    for (std::size_t i = s.first; i <= s.last; ++i) calm[i] = 1;
  }
  std::vector<Knot> out;
  for (std::size_t i = 0; i < bins.size(); ++i) {
    const bool hole = i > 0 && bins[i].t_s - bins[i - 1].t_s > kLongestHole_s;
    const double since_s = out.empty() ? 0.0 : bins[i].t_s - bins[out.back().bin].t_s;
    const bool resting = !out.empty() && out.back().still && calm[i] != 0;
    const bool wakes = i + 1 < bins.size() && calm[i] != 0 && calm[i + 1] == 0;
    const bool due = since_s >= (resting ? 60.0 : kKnotEvery_s) || (wakes && since_s > 0.1);
    if (!(out.empty() || hole || due || i + 1 == bins.size())) continue;
    if (!out.empty()) out.back().joined = !hole;
    Knot knot;
    knot.bin = i;
    knot.still = calm[i] != 0;
    knot.world_from_sensor() = attitude.world_from_sensor[i];
    out.push_back(knot);
  }
  return out;
}

}  // namespace

void refine_attitude(const std::vector<Bin>& bins,
                     const Stillness& stillness,
                     double gravity_mps2,
                     Attitude& attitude) {
  std::vector<Knot> knots = place_knots(bins, stillness, attitude);
  if (knots.size() < 4) return;
  GyroErrors errors{.rate_bias_radps = attitude.rate_bias_radps, .main_axis = attitude.main_axis};
  std::array<double, kSharedSize> shared = {};

  // Both outlive the problem, which would free them term by term.
  KnotManifold manifold;
  ceres::HuberLoss moving_loss(2.0);
  ceres::HuberLoss join_loss(3.0);
  ceres::Problem::Options ownership;
  ownership.manifold_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
  ownership.loss_function_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
  ceres::Problem problem(ownership);
  for (Knot& k : knots) {
    problem.AddParameterBlock(k.unknowns.data(), kKnotSize, &manifold);
    const Eigen::Vector3d sigma = k.still
                                      ? Eigen::Vector3d::Constant(kLying_mps)
                                      : Eigen::Vector3d(kSideways_mps, kSideways_mps, kUpwards_mps);
    problem.AddResidualBlock(new Slow(sigma), k.still ? nullptr : &moving_loss, k.unknowns.data());
  }
  for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
    if (!knots[i].joined) continue;
    KnotJoin::Data join{integrate(bins, knots[i].bin, knots[i + 1].bin, errors), gravity_mps2};
    join.turn_sigma_rad = std::hypot(kTurnNoise_rad * std::sqrt(join.in.span_s),
                                     kMainTurnChange * join.in.main_rad,
                                     kTurnScale * join.in.other_rad);
    join.gain_sigma_mps = std::hypot(kVelocityNoise_mps * std::sqrt(join.in.span_s),
                                     kVelocityScale * join.in.rough_mps);
    join.rate0_radps = bins[knots[i].bin].rate_radps - attitude.rate_bias_radps;
    join.rate1_radps = bins[knots[i + 1].bin].rate_radps - attitude.rate_bias_radps;
    problem.AddResidualBlock(new KnotJoin(join),
                             &join_loss,
                             knots[i].unknowns.data(),
                             knots[i + 1].unknowns.data(),
                             shared.data());
  }
  problem.AddResidualBlock(
      shared_prior(stillness.still.empty() ? kRateBias_radps : 0.2 * kRateBias_radps),
      nullptr,
      shared.data());

  ceres::Solver::Options options;
  options.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
  // A chain of knots fills in next to nothing; blocks for dense algebra only cost time.
  options.sparse_linear_algebra_library_type = ceres::EIGEN_SPARSE;
  options.max_num_iterations = 25;
  options.logging_type = ceres::SILENT;
  options.function_tolerance = 1e-5;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  if (!summary.IsSolutionUsable()) return;

  attitude.refined = true;
  const auto three = [&](int at) { return Eigen::Map<const Eigen::Vector3d>(shared.data() + at); };
  attitude.rate_bias_radps += three(shared_at::kRateBias);
  attitude.accel_offset_mps2 = three(shared_at::kOffset);
  attitude.scale = 1.0 + shared[shared_at::kScale];
  attitude.lever_m = three(shared_at::kLever);
  errors.rate_bias_radps = attitude.rate_bias_radps;
  errors.main_scale = three(shared_at::kMainScale);
  // From knot to knot by the gyroscope; what that misses the next knot by is spread evenly.
  attitude.world_from_sensor.front() = knots.front().world_from_sensor();
  std::vector<Eigen::Quaterniond> turns;
  for (std::size_t k = 0; k + 1 < knots.size(); ++k) {
    const std::size_t first = knots[k].bin;
    const std::size_t last = knots[k + 1].bin;
    turns.assign(1, knots[k].world_from_sensor());
    for (std::size_t i = first + 1; i <= last; ++i) {
      turns.push_back((turns.back() * turn_to(bins, i, errors)).normalized());
    }
    const Eigen::Quaterniond miss = knots[k + 1].world_from_sensor() * turns.back().conjugate();
    const double span_s = std::max(bins[last].t_s - bins[first].t_s, 1e-6);
    for (std::size_t i = first + 1; i <= last; ++i) {
      const double part = (bins[i].t_s - bins[first].t_s) / span_s;
      attitude.world_from_sensor[i] =
          (Eigen::Quaterniond::Identity().slerp(part, miss) * turns[i - first]).normalized();
    }
  }
}

}  // namespace kinetics
