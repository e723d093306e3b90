#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <ceres/ceres.h>

#include "libkinetics/inertial/attitude.h"

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

// Readings integrated from one knot to the next, in the frame of the first.
struct Integrated {
  double span_s = 0.0;
  Eigen::Quaterniond turn = Eigen::Quaterniond::Identity();
  Eigen::Vector3d gain = Eigen::Vector3d::Zero();  // of velocity, gravity included
  Eigen::Matrix3d turn_by_rate = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d gain_by_rate = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d gain_by_offset = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d turn_by_scale = Eigen::Matrix3d::Zero();  // of the turning about the main axis
  Eigen::Matrix3d gain_by_scale = Eigen::Matrix3d::Zero();
  double rough_mps = 0.0;  // sum of the sizes of what was integrated beyond gravity
  double main_rad = 0.0;   // turned about the main axis, to and fro
  double other_rad = 0.0;  // and about others
};

// From one bin to the next, as the gyroscope reads it and its errors are known. The frame turns
// within the step, by little enough for the mean rate's axis to stand for it.
struct GyroErrors {
  Eigen::Vector3d rate_bias_radps = Eigen::Vector3d::Zero();
  Eigen::Vector3d main_axis = Eigen::Vector3d::UnitZ();
  Eigen::Vector3d main_scale = Eigen::Vector3d::Zero();  // added to a turn of 1 rad about it
};

double main_turn_rad(const std::vector<Bin>& bins, std::size_t to, const GyroErrors& errors) {
  const double dt = bins[to].t_s - bins[to - 1].t_s;
  const Eigen::Vector3d mean = 0.5 * (bins[to].rate_radps + bins[to - 1].rate_radps);
  return dt * errors.main_axis.dot(mean - errors.rate_bias_radps);
}

Eigen::Quaterniond turn_to(const std::vector<Bin>& bins, std::size_t to, const GyroErrors& errors) {
  const double dt = bins[to].t_s - bins[to - 1].t_s;
  return bins[to].turn *
         turn_by(main_turn_rad(bins, to, errors) * errors.main_scale - dt * errors.rate_bias_radps);
}

Eigen::Matrix3d skew(const Eigen::Vector3d& v) {
  Eigen::Matrix3d m;
  m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return m;
}

Integrated integrate(const std::vector<Bin>& bins,
                     std::size_t first,
                     std::size_t last,
                     const GyroErrors& errors) {
  Integrated out;
  for (std::size_t i = first; i < last; ++i) {
    const double dt = bins[i + 1].t_s - bins[i].t_s;
    const Eigen::Quaterniond turn = turn_to(bins, i + 1, errors);
    const double main_rad = main_turn_rad(bins, i + 1, errors);
    const Eigen::Matrix3d before = out.turn.toRotationMatrix();
    const Eigen::Matrix3d step = turn.toRotationMatrix();
    const Eigen::Matrix3d after = before * step;
    // The trapezoid's two ends.
    out.gain += 0.5 * dt * (before * bins[i].accel_mps2 + after * bins[i + 1].accel_mps2);
    out.gain_by_offset -= 0.5 * dt * (before + after);
    const Eigen::Matrix3d next_by_rate =
        step.transpose() * out.turn_by_rate - dt * Eigen::Matrix3d::Identity();
    out.gain_by_rate -= 0.5 * dt *
                        (before * skew(bins[i].accel_mps2) * out.turn_by_rate +
                         after * skew(bins[i + 1].accel_mps2) * next_by_rate);
    const Eigen::Matrix3d next_by_scale =
        step.transpose() * out.turn_by_scale + main_rad * Eigen::Matrix3d::Identity();
    out.gain_by_scale -= 0.5 * dt *
                         (before * skew(bins[i].accel_mps2) * out.turn_by_scale +
                          after * skew(bins[i + 1].accel_mps2) * next_by_scale);
    out.turn_by_rate = next_by_rate;
    out.turn_by_scale = next_by_scale;
    const double turned = rotation_of(turn).norm();
    out.main_rad += std::abs(main_rad);
    out.other_rad += std::sqrt(std::max(turned * turned - main_rad * main_rad, 0.0));
    out.turn = (out.turn * turn).normalized();
    out.span_s += dt;
    out.rough_mps += dt * std::abs(bins[i].size_mps2 - 9.8);
  }
  return out;
}

// Both knots' attitude and velocity against the readings in between.
struct JoinKnots {
  Integrated in;
  double gravity_mps2 = 0.0;
  double turn_sigma_rad = 1.0;
  double gain_sigma_mps = 1.0;
  Eigen::Vector3d rate0 = Eigen::Vector3d::Zero();  // turning at both knots
  Eigen::Vector3d rate1 = Eigen::Vector3d::Zero();

  template <typename T>
  bool operator()(const T* q0,
                  const T* v0,
                  const T* q1,
                  const T* v1,
                  const T* rate_bias_change,
                  const T* main_scale,
                  const T* offset,
                  const T* scale,
                  const T* lever,
                  T* residual) const {
    using Vector = Eigen::Matrix<T, 3, 1>;
    using Turn = Eigen::Quaternion<T>;
    const Eigen::Map<const Turn> from(q0);
    const Eigen::Map<const Turn> to(q1);
    const Eigen::Map<const Vector> velocity0(v0);
    const Eigen::Map<const Vector> velocity1(v1);
    const Eigen::Map<const Vector> change(rate_bias_change);
    const Eigen::Map<const Vector> off(offset);
    const Eigen::Map<const Vector> askew(main_scale);
    const Vector by_rate = in.turn_by_rate.cast<T>() * change + in.turn_by_scale.cast<T>() * askew;
    Turn bend;
    bend.w() = T(1.0);
    bend.vec() = T(0.5) * by_rate;
    bend.normalize();
    const Turn foretold = in.turn.cast<T>() * bend;
    const Turn miss = foretold.conjugate() * (from.conjugate() * to);
    Eigen::Map<Vector>(residual + 0) = T(2.0 / turn_sigma_rad) * miss.vec();
    const Vector gain = (in.gain.cast<T>() + in.gain_by_rate.cast<T>() * change +
                         in.gain_by_scale.cast<T>() * askew + in.gain_by_offset.cast<T>() * off) *
                        (T(1.0) + scale[0]);
    Vector moved = velocity1 - velocity0;
    moved.z() += T(gravity_mps2 * in.span_s);
    // The sensor goes round the bar's axis as the bar goes up.
    const Eigen::Map<const Vector> beside(lever);
    const Turn across = from.conjugate() * to;
    const Vector around0 = rate0.cast<T>().cross(beside);
    const Vector around1 = rate1.cast<T>().cross(beside);
    const Vector of_sensor = from.conjugate() * moved + across * around1 - around0;
    Eigen::Map<Vector>(residual + 3) = (of_sensor - gain) / T(gain_sigma_mps);
    return true;
  }
};

// A vector near a value, each axis with its own sigma.
struct Near {
  Eigen::Vector3d sigma;

  template <typename T>
  bool operator()(const T* v, T* residual) const {
    for (int k = 0; k < 3; ++k) residual[k] = v[k] / T(sigma[k]);
    return true;
  }
};

struct ScaleNear {
  template <typename T>
  bool operator()(const T* scale, T* residual) const {
    residual[0] = scale[0] / T(kScale);
    return true;
  }
};

struct Knot {
  std::size_t bin = 0;
  bool still = false;
  bool joined = false;  // to the next knot
  Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
  Eigen::Vector3d v = Eigen::Vector3d::Zero();
};

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
    knot.q = attitude.world_from_sensor[i];
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
  std::array<double, 3> rate_change = {0.0, 0.0, 0.0};
  std::array<double, 3> main_scale = {0.0, 0.0, 0.0};
  std::array<double, 3> offset = {0.0, 0.0, 0.0};
  std::array<double, 3> lever = {0.0, 0.0, 0.0};
  double scale = 0.0;

  ceres::Problem problem;
  for (Knot& k : knots) {
    problem.AddParameterBlock(k.q.coeffs().data(), 4, new ceres::EigenQuaternionManifold);
    const Eigen::Vector3d sigma = k.still
                                      ? Eigen::Vector3d::Constant(kLying_mps)
                                      : Eigen::Vector3d(kSideways_mps, kSideways_mps, kUpwards_mps);
    problem.AddResidualBlock(new ceres::AutoDiffCostFunction<Near, 3, 3>(new Near{sigma}),
                             k.still ? nullptr : new ceres::HuberLoss(2.0),
                             k.v.data());
  }
  for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
    if (!knots[i].joined) continue;
    JoinKnots join{integrate(bins, knots[i].bin, knots[i + 1].bin, errors), gravity_mps2};
    join.turn_sigma_rad = std::hypot(kTurnNoise_rad * std::sqrt(join.in.span_s),
                                     kMainTurnChange * join.in.main_rad,
                                     kTurnScale * join.in.other_rad);
    join.gain_sigma_mps = std::hypot(kVelocityNoise_mps * std::sqrt(join.in.span_s),
                                     kVelocityScale * join.in.rough_mps);
    join.rate0 = bins[knots[i].bin].rate_radps - attitude.rate_bias_radps;
    join.rate1 = bins[knots[i + 1].bin].rate_radps - attitude.rate_bias_radps;
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<JoinKnots, 6, 4, 3, 4, 3, 3, 3, 3, 1, 3>(
            new JoinKnots(join)),
        new ceres::HuberLoss(3.0),
        knots[i].q.coeffs().data(),
        knots[i].v.data(),
        knots[i + 1].q.coeffs().data(),
        knots[i + 1].v.data(),
        rate_change.data(),
        main_scale.data(),
        offset.data(),
        &scale,
        lever.data());
  }
  const double rate_sigma = stillness.still.empty() ? kRateBias_radps : 0.2 * kRateBias_radps;
  problem.AddResidualBlock(
      new ceres::AutoDiffCostFunction<Near, 3, 3>(new Near{Eigen::Vector3d::Constant(rate_sigma)}),
      nullptr,
      rate_change.data());
  problem.AddResidualBlock(new ceres::AutoDiffCostFunction<Near, 3, 3>(
                               new Near{Eigen::Vector3d::Constant(kMainTurnScale)}),
                           nullptr,
                           main_scale.data());
  problem.AddResidualBlock(new ceres::AutoDiffCostFunction<Near, 3, 3>(
                               new Near{Eigen::Vector3d::Constant(kAccelOffset_mps2)}),
                           nullptr,
                           offset.data());
  problem.AddResidualBlock(
      new ceres::AutoDiffCostFunction<Near, 3, 3>(new Near{Eigen::Vector3d::Constant(kLever_m)}),
      nullptr,
      lever.data());
  problem.AddResidualBlock(
      new ceres::AutoDiffCostFunction<ScaleNear, 1, 1>(new ScaleNear), nullptr, &scale);

  ceres::Solver::Options options;
  options.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
  options.max_num_iterations = 25;
  options.logging_type = ceres::SILENT;
  options.function_tolerance = 1e-5;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  if (!summary.IsSolutionUsable()) return;

  attitude.refined = true;
  attitude.rate_bias_radps += Eigen::Map<const Eigen::Vector3d>(rate_change.data());
  attitude.accel_offset_mps2 = Eigen::Map<const Eigen::Vector3d>(offset.data());
  attitude.scale = 1.0 + scale;
  attitude.lever_m = Eigen::Map<const Eigen::Vector3d>(lever.data());
  errors.rate_bias_radps = attitude.rate_bias_radps;
  errors.main_scale = Eigen::Map<const Eigen::Vector3d>(main_scale.data());
  // From knot to knot by the gyroscope; what that misses the next knot by is spread evenly.
  attitude.world_from_sensor.front() = knots.front().q;
  std::vector<Eigen::Quaterniond> turns;
  for (std::size_t k = 0; k + 1 < knots.size(); ++k) {
    const std::size_t first = knots[k].bin;
    const std::size_t last = knots[k + 1].bin;
    turns.assign(1, knots[k].q);
    for (std::size_t i = first + 1; i <= last; ++i) {
      turns.push_back((turns.back() * turn_to(bins, i, errors)).normalized());
    }
    const Eigen::Quaterniond miss = knots[k + 1].q * turns.back().conjugate();
    const double span_s = std::max(bins[last].t_s - bins[first].t_s, 1e-6);
    for (std::size_t i = first + 1; i <= last; ++i) {
      const double part = (bins[i].t_s - bins[first].t_s) / span_s;
      attitude.world_from_sensor[i] =
          (Eigen::Quaterniond::Identity().slerp(part, miss) * turns[i - first]).normalized();
    }
  }
}

}  // namespace kinetics
