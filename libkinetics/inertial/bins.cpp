#include "libkinetics/inertial/bins.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace kinetics {
namespace {

// Rows that gather into one bin, in the frame of the first of them.
struct Gathering {
  Eigen::Quaterniond turn = Eigen::Quaterniond::Identity();  // first_from_now
  Eigen::Vector3d accel = Eigen::Vector3d::Zero();
  Eigen::Vector3d rate = Eigen::Vector3d::Zero();
  double size = 0.0;
  double size_square = 0.0;
  double time = 0.0;
  double first_s = 0.0;
  std::size_t rows = 0;
  bool clipped = false;

  void add(const SensorSample& s) {
    const Eigen::Vector3d f = s.accel_mps2.cast<double>();
    if (rows == 0) first_s = s.t_s;
    accel += turn * f;
    rate += s.rate_radps.cast<double>();
    size += f.norm();
    size_square += f.squaredNorm();
    time += s.t_s - first_s;
    clipped = clipped || s.clipped;
    ++rows;
  }

  // The bin, and the turn from the first row to its middle.
  Bin close(Eigen::Quaterniond& first_from_middle) const {
    const double n = static_cast<double>(rows);
    Bin out;
    out.t_s = first_s + time / n;
    out.rate_radps = rate / n;
    first_from_middle = turn_by(out.rate_radps * (time / n));
    out.accel_mps2 = first_from_middle.conjugate() * (accel / n);
    out.size_mps2 = size / n;
    out.spread_mps2 = std::sqrt(std::max(size_square / n - out.size_mps2 * out.size_mps2, 0.0));
    out.clipped = clipped;
    return out;
  }
};

}  // namespace

Eigen::Quaterniond turn_by(const Eigen::Vector3d& rotation_rad) {
  const double h = 0.25 * rotation_rad.squaredNorm();  // of half the angle, squared
  Eigen::Quaterniond q;
  if (h < 0.0025) {
    // Series of cos x and sin x / x: up to 0.1 rad what is left out is below a double's digits.
    q.w() = 1.0 - h / 2.0 * (1.0 - h / 12.0 * (1.0 - h / 30.0 * (1.0 - h / 56.0)));
    const double part = 1.0 - h / 6.0 * (1.0 - h / 20.0 * (1.0 - h / 42.0 * (1.0 - h / 72.0)));
    q.vec() = 0.5 * part * rotation_rad;
  } else {
    const double half_angle = std::sqrt(h);
    q.w() = std::cos(half_angle);
    q.vec() = 0.5 * std::sin(half_angle) / half_angle * rotation_rad;
  }
  return q;
}

Eigen::Vector3d rotation_of(const Eigen::Quaterniond& turn) {
  const double sign = turn.w() < 0.0 ? -1.0 : 1.0;
  const double half_sine = turn.vec().norm();
  if (half_sine < 1e-9) return sign * 2.0 * turn.vec();
  const double angle = 2.0 * std::atan2(half_sine, sign * turn.w());
  return sign * turn.vec() * (angle / half_sine);
}

std::vector<Bin> condense(const SensorLog& log, double rate_hz) {
  const std::vector<SensorSample>& rows = log.samples;
  std::vector<Bin> out;
  if (rows.empty()) return out;
  // Whole rows go into a bin: as many as keep within the rate, counted by time so that missing
  // rows do not shift the grid.
  const double per_bin = std::max(1.0, std::ceil(log.rate_hz / rate_hz - 0.05));
  const double width_s = per_bin > 1.0 ? per_bin / log.rate_hz : 0.0;
  out.reserve(rows.size() / static_cast<std::size_t>(per_bin) + 1);
  Gathering now;
  Eigen::Quaterniond last_middle_from_first = Eigen::Quaterniond::Identity();
  const auto close = [&](const Eigen::Quaterniond& first_from_next) {
    Eigen::Quaterniond first_from_middle;
    Bin bin = now.close(first_from_middle);
    bin.turn = (last_middle_from_first * first_from_middle).normalized();
    last_middle_from_first = first_from_middle.conjugate() * first_from_next;
    out.push_back(bin);
    now = {};
  };
  double bin_end_s = rows.front().t_s + width_s;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (i > 0) {
      const double dt = rows[i].t_s - rows[i - 1].t_s;
      if (log.has_gyroscope) {
        const Eigen::Vector3d rate =
            0.5 * (rows[i].rate_radps + rows[i - 1].rate_radps).cast<double>();
        now.turn = now.turn * turn_by(rate * dt);
      }
      if (rows[i].t_s >= bin_end_s - 1e-3 * width_s) {
        close(now.turn);
        bin_end_s = std::max(bin_end_s + width_s, rows[i].t_s + 0.5 * width_s);
      }
    }
    now.add(rows[i]);
  }
  close(Eigen::Quaterniond::Identity());
  return out;
}

}  // namespace kinetics
