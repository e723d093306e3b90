#include "libkinetics/inertial/attitude.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <Eigen/Eigenvalues>

namespace kinetics {
namespace {

// A lift ends where it began within a few seconds, so over as long the mean acceleration is nil.
constexpr double kLevelOver_s = 3.0;
// Readings far from gravity say little about the vertical.
constexpr double kTrusted_mps2 = 4.0;

Eigen::Vector3d still_rate(const std::vector<Bin>& bins, const Stillness& stillness) {
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  double count = 0.0;
  for (const CalmStretch& s : stillness.still) {
    for (std::size_t i = s.first; i <= s.last; ++i) sum += bins[i].rate_radps;
    count += static_cast<double>(s.last - s.first + 1);
  }
  return count > 0.0 ? Eigen::Vector3d(sum / count) : Eigen::Vector3d(Eigen::Vector3d::Zero());
}

// One-sided exponential mean of the specific force in a frame that does not turn.
std::vector<Eigen::Vector3d> trailing_mean(const std::vector<Bin>& bins,
                                           const std::vector<Eigen::Vector3d>& force,
                                           bool backwards) {
  const std::size_t n = bins.size();
  std::vector<Eigen::Vector3d> out(n);
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (std::size_t step = 0; step < n; ++step) {
    const std::size_t i = backwards ? n - 1 - step : step;
    double dt = 0.01;
    if (step > 0) {
      dt = std::abs(bins[i].t_s - bins[backwards ? i + 1 : i - 1].t_s);
      sum *= std::exp(-dt / kLevelOver_s);
    }
    const double off = std::abs(bins[i].size_mps2 - 9.8) / kTrusted_mps2;
    sum += force[i] * (std::min(dt, 0.2) / (1.0 + off * off));
    out[i] = sum;
  }
  return out;
}

// Whether in a good part of the log the sensor turns by more than a rep's own turn could be, about
// half a turn within two seconds, and always about the axis that it keeps: a swinging arm turns as
// much, to and fro.
bool spins(const std::vector<Bin>& bins, const Eigen::Vector3d& rate_bias) {
  constexpr double kWithin_s = 2.0;
  constexpr double kFar_rad = 3.0;
  constexpr double kGoodPart = 0.06;
  Eigen::Vector3d turned = Eigen::Vector3d::Zero();
  double spun_s = 0.0;
  std::size_t first = 0;
  const auto step = [&](std::size_t i) {  // from bin i - 1
    return Eigen::Vector3d((bins[i].rate_radps - rate_bias) * (bins[i].t_s - bins[i - 1].t_s));
  };
  for (std::size_t i = 1; i < bins.size(); ++i) {
    turned += step(i);
    while (bins[i].t_s - bins[first].t_s > kWithin_s) turned -= step(++first);
    if (turned.norm() > kFar_rad) spun_s += bins[i].t_s - bins[i - 1].t_s;
  }
  return spun_s > kGoodPart * (bins.back().t_s - bins.front().t_s);
}

// About which axis of its own the sensor turned most.
Eigen::Vector3d main_axis(const std::vector<Bin>& bins, const Eigen::Vector3d& rate_bias) {
  Eigen::Matrix3d sum = Eigen::Matrix3d::Zero();
  for (std::size_t i = 1; i < bins.size(); ++i) {
    const Eigen::Vector3d rate = bins[i].rate_radps - rate_bias;
    sum += rate * rate.transpose() * (bins[i].t_s - bins[i - 1].t_s);
  }
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(sum).eigenvectors().col(2);
}

}  // namespace

Attitude first_attitude(const std::vector<Bin>& bins, const Stillness& stillness) {
  Attitude out;
  const std::size_t n = bins.size();
  out.rate_bias_radps = still_rate(bins, stillness);
  std::vector<Eigen::Quaterniond> chain(n);
  std::vector<Eigen::Vector3d> force(n);
  Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
  for (std::size_t i = 0; i < n; ++i) {
    if (i > 0) {
      const double dt = bins[i].t_s - bins[i - 1].t_s;
      q = (q * bins[i].turn * turn_by(-dt * out.rate_bias_radps)).normalized();
    }
    chain[i] = q;
    force[i] = q * bins[i].accel_mps2;
  }
  const std::vector<Eigen::Vector3d> before = trailing_mean(bins, force, false);
  const std::vector<Eigen::Vector3d> after = trailing_mean(bins, force, true);
  out.world_from_sensor.resize(n);
  // Levelled from one bin to the next, so that no bin's yaw jumps against its neighbour's.
  Eigen::Quaterniond level = Eigen::Quaterniond::Identity();
  for (std::size_t i = 0; i < n; ++i) {
    const Eigen::Vector3d up = level * (before[i] + after[i]);
    level = Eigen::Quaterniond::FromTwoVectors(up, Eigen::Vector3d::UnitZ()) * level;
    level.normalize();
    out.world_from_sensor[i] = level * chain[i];
  }
  out.spinning = spins(bins, out.rate_bias_radps);
  out.main_axis = main_axis(bins, out.rate_bias_radps);
  return out;
}

}  // namespace kinetics
