#include "libkinetics/inertial/knot_join.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

using Matrix34 = Eigen::Matrix<double, 3, 4>;
using Matrix4 = Eigen::Matrix4d;
using Eigen::Matrix3d;
using Eigen::Quaterniond;
using Eigen::Vector3d;

// The frame turns within a step by little enough for the mean rate's axis to stand for it.
double main_turn_rad(const std::vector<Bin>& bins, std::size_t to, const GyroErrors& errors) {
  const double dt = bins[to].t_s - bins[to - 1].t_s;
  const Vector3d mean = 0.5 * (bins[to].rate_radps + bins[to - 1].rate_radps);
  return dt * errors.main_axis.dot(mean - errors.rate_bias_radps);
}

Matrix3d skew(const Vector3d& v) {
  Matrix3d m;
  m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return m;
}

// a·b as a matrix times b; coefficients x, y, z, w as Eigen keeps them.
Matrix4 times_right(const Quaterniond& a) {
  Matrix4 m;
  m.topLeftCorner<3, 3>() = skew(a.vec());
  m.topLeftCorner<3, 3>().diagonal().setConstant(a.w());
  m.topRightCorner<3, 1>() = a.vec();
  m.bottomLeftCorner<1, 3>() = -a.vec().transpose();
  m(3, 3) = a.w();
  return m;
}

// a·b as a matrix times a.
Matrix4 times_left(const Quaterniond& b) {
  Matrix4 m;
  m.topLeftCorner<3, 3>() = -skew(b.vec());
  m.topLeftCorner<3, 3>().diagonal().setConstant(b.w());
  m.topRightCorner<3, 1>() = b.vec();
  m.bottomLeftCorner<1, 3>() = -b.vec().transpose();
  m(3, 3) = b.w();
  return m;
}

// The derivative by a quaternion from that by its conjugate.
template <int Rows>
Eigen::Matrix<double, Rows, 4> of_conjugate(Eigen::Matrix<double, Rows, 4> m) {
  m.template leftCols<3>() *= -1.0;
  return m;
}

// q·v by the coefficients of q.
Matrix34 rotated_by_turn(const Quaterniond& q, const Vector3d& v) {
  const Vector3d u = q.vec();
  Matrix34 m;
  m.leftCols<3>() = 2.0 * (u * v.transpose() - 2.0 * v * u.transpose() - q.w() * skew(v));
  m.leftCols<3>().diagonal().array() += 2.0 * u.dot(v);
  m.col(3) = 2.0 * u.cross(v);
  return m;
}

// The turn 1 + rotation / 2, made of length 1, and its derivative.
Quaterniond small_turn(const Vector3d& rotation, Eigen::Matrix<double, 4, 3>* by_rotation) {
  const double length = std::sqrt(1.0 + 0.25 * rotation.squaredNorm());
  Quaterniond q;
  q.w() = 1.0 / length;
  q.vec() = (0.5 / length) * rotation;
  if (by_rotation != nullptr) {
    *by_rotation = q.coeffs() * rotation.transpose() * (-0.25 / (length * length));
    by_rotation->topRows<3>().diagonal().array() += 0.5 / length;
  }
  return q;
}

}  // namespace

Quaterniond turn_to(const std::vector<Bin>& bins, std::size_t to, const GyroErrors& errors) {
  const double dt = bins[to].t_s - bins[to - 1].t_s;
  return bins[to].turn *
         turn_by(main_turn_rad(bins, to, errors) * errors.main_scale - dt * errors.rate_bias_radps);
}

Integrated integrate(const std::vector<Bin>& bins,
                     std::size_t first,
                     std::size_t last,
                     const GyroErrors& errors) {
  Integrated out;
  for (std::size_t i = first; i < last; ++i) {
    const double dt = bins[i + 1].t_s - bins[i].t_s;
    const Quaterniond turn = turn_to(bins, i + 1, errors);
    const double main_rad = main_turn_rad(bins, i + 1, errors);
    const Matrix3d before = out.turn.toRotationMatrix();
    const Matrix3d step = turn.toRotationMatrix();
    const Matrix3d after = before * step;
    // The trapezoid's two ends.
    out.gain_mps += 0.5 * dt * (before * bins[i].accel_mps2 + after * bins[i + 1].accel_mps2);
    out.gain_by_offset -= 0.5 * dt * (before + after);
    const Matrix3d next_by_rate = step.transpose() * out.turn_by_rate - dt * Matrix3d::Identity();
    out.gain_by_rate -= 0.5 * dt *
                        (before * skew(bins[i].accel_mps2) * out.turn_by_rate +
                         after * skew(bins[i + 1].accel_mps2) * next_by_rate);
    const Matrix3d next_by_scale =
        step.transpose() * out.turn_by_scale + main_rad * Matrix3d::Identity();
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

bool KnotJoin::Evaluate(const double* const* unknowns,
                        double* residuals,
                        double** jacobians) const {
  const Integrated& in = data_.in;
  const Eigen::Map<const Quaterniond> q0(unknowns[0]);
  const Eigen::Map<const Quaterniond> q1(unknowns[1]);
  const Eigen::Map<const Vector3d> v0(unknowns[0] + 4);
  const Eigen::Map<const Vector3d> v1(unknowns[1] + 4);
  const double* const shared = unknowns[2];
  const Eigen::Map<const Vector3d> rate_change(shared + shared_at::kRateBias);
  const Eigen::Map<const Vector3d> main_scale(shared + shared_at::kMainScale);
  const Eigen::Map<const Vector3d> offset(shared + shared_at::kOffset);
  const Eigen::Map<const Vector3d> lever(shared + shared_at::kLever);
  const double scale = shared[shared_at::kScale];
  const bool wanted = jacobians != nullptr;

  // The turn, over what the readings foretell of it.
  const Vector3d bent = in.turn_by_rate * rate_change + in.turn_by_scale * main_scale;
  Eigen::Matrix<double, 4, 3> bend_by_bent;
  const Quaterniond bend = small_turn(bent, wanted ? &bend_by_bent : nullptr);
  const Quaterniond foretold = in.turn * bend;
  const Quaterniond across = q0.conjugate() * q1;
  const Quaterniond miss = foretold.conjugate() * across;
  const double per_turn = 2.0 / data_.turn_sigma_rad;
  Eigen::Map<Vector3d>(residuals + 0) = per_turn * miss.vec();

  // The gain of velocity. The sensor goes round the bar's axis as the bar goes up.
  const Vector3d raw_gain = in.gain_mps + in.gain_by_rate * rate_change +
                            in.gain_by_scale * main_scale + in.gain_by_offset * offset;
  const Vector3d moved = v1 - v0 + Vector3d(0.0, 0.0, data_.gravity_mps2 * in.span_s);
  const Vector3d around0 = data_.rate0_radps.cross(lever);
  const Vector3d around1 = data_.rate1_radps.cross(lever);
  const double per_gain = 1.0 / data_.gain_sigma_mps;
  const Vector3d of_sensor = q0.conjugate() * moved + across * around1 - around0;
  Eigen::Map<Vector3d>(residuals + 3) = per_gain * (of_sensor - (1.0 + scale) * raw_gain);
  if (!wanted) return true;

  const Matrix34 around1_by_across = rotated_by_turn(across, around1);
  if (jacobians[0] != nullptr) {
    Eigen::Map<Eigen::Matrix<double, 6, kKnotSize, Eigen::RowMajor>> j(jacobians[0]);
    const Matrix4 across_by_q0 = of_conjugate<4>(times_left(q1));
    j.topLeftCorner<3, 4>() =
        per_turn * (times_right(foretold.conjugate()) * across_by_q0).topRows<3>();
    j.topRightCorner<3, 3>().setZero();
    j.bottomLeftCorner<3, 4>() =
        per_gain * (of_conjugate<3>(rotated_by_turn(q0.conjugate(), moved)) +
                    around1_by_across * across_by_q0);
    j.bottomRightCorner<3, 3>() = -per_gain * q0.conjugate().toRotationMatrix();
  }
  if (jacobians[1] != nullptr) {
    Eigen::Map<Eigen::Matrix<double, 6, kKnotSize, Eigen::RowMajor>> j(jacobians[1]);
    const Matrix4 across_by_q1 = times_right(q0.conjugate());
    j.topLeftCorner<3, 4>() =
        per_turn * (times_right(foretold.conjugate()) * across_by_q1).topRows<3>();
    j.topRightCorner<3, 3>().setZero();
    j.bottomLeftCorner<3, 4>() = per_gain * around1_by_across * across_by_q1;
    j.bottomRightCorner<3, 3>() = per_gain * q0.conjugate().toRotationMatrix();
  }
  if (jacobians[2] != nullptr) {
    Eigen::Map<Eigen::Matrix<double, 6, kSharedSize, Eigen::RowMajor>> j(jacobians[2]);
    const Quaterniond without_bend = in.turn.conjugate() * across;
    const Matrix3d turn_by_bent =
        per_turn * of_conjugate<4>(times_left(without_bend)).topRows<3>() * bend_by_bent;
    j.setZero();
    j.block<3, 3>(0, shared_at::kRateBias) = turn_by_bent * in.turn_by_rate;
    j.block<3, 3>(0, shared_at::kMainScale) = turn_by_bent * in.turn_by_scale;
    const double per_raw_gain = -per_gain * (1.0 + scale);
    j.block<3, 3>(3, shared_at::kRateBias) = per_raw_gain * in.gain_by_rate;
    j.block<3, 3>(3, shared_at::kMainScale) = per_raw_gain * in.gain_by_scale;
    j.block<3, 3>(3, shared_at::kOffset) = per_raw_gain * in.gain_by_offset;
    j.block<3, 3>(3, shared_at::kLever) =
        per_gain * (across.toRotationMatrix() * skew(data_.rate1_radps) - skew(data_.rate0_radps));
    j.block<3, 1>(3, shared_at::kScale) = -per_gain * raw_gain;
  }
  return true;
}

}  // namespace kinetics
