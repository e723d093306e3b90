#include "samples/simulate/ring.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace simulate {
namespace {

// After so many decay times e^(−2u) has fallen below 1e-14.
constexpr double kSpent = 18.0;

bool earlier(const Ring& a, const Ring& b) {
  return a.at_s < b.at_s;
}

}  // namespace

void Rings::add(const Ring& ring) {
  rings_.insert(std::upper_bound(rings_.begin(), rings_.end(), ring, earlier), ring);
  longest_s_ = std::max(longest_s_, kSpent * ring.decay_s);
}

RingState Rings::at(double t) const {
  RingState out;
  auto ring =
      std::lower_bound(rings_.begin(), rings_.end(), t - longest_s_, [](const Ring& r, double at) {
        return r.at_s < at;
      });
  for (; ring != rings_.end() && ring->at_s < t; ++ring) {
    const double u = (t - ring->at_s) / ring->decay_s;
    if (u > kSpent) continue;
    // The envelope e = u² e^(−2u) and its derivatives by u; its largest value is e^(−2), at u = 1.
    const double fall = std::exp(-2.0 * u);
    const double e = u * u * fall;
    const double e1 = (2.0 * u - 2.0 * u * u) * fall / ring->decay_s;
    const double e2 = (2.0 - 8.0 * u + 4.0 * u * u) * fall / (ring->decay_s * ring->decay_s);
    const double omega = 2.0 * std::numbers::pi * ring->frequency_hz;
    const double s = std::sin(omega * (t - ring->at_s)), c = std::cos(omega * (t - ring->at_s));
    const Eigen::Vector3d swing = ring->peak_mps2 * (std::exp(2.0) / (omega * omega));
    out.shift_m += swing * (e * s);
    out.velocity_mps += swing * (e1 * s + e * omega * c);
    out.accel_mps2 += swing * (e2 * s + 2.0 * e1 * omega * c - e * omega * omega * s);
  }
  return out;
}

}  // namespace simulate
