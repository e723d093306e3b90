#pragma once

#include <vector>

#include <Eigen/Core>

/// Knocks: short damped oscillations that leave the bar where it was.

namespace simulate {

/// Displacement D u² e^(−2u) sin ωt with u = t/decay: from rest and back to rest, so that a knock
/// adds nothing to height or speed in the end, as long as every bit of it is sampled.
struct Ring {
  double at_s = 0.0;
  Eigen::Vector3d peak_mps2 = Eigen::Vector3d::Zero();  ///< near the largest acceleration
  double frequency_hz = 80.0;
  double decay_s = 0.03;
};

struct RingState {
  Eigen::Vector3d shift_m = Eigen::Vector3d::Zero();
  Eigen::Vector3d velocity_mps = Eigen::Vector3d::Zero();
  Eigen::Vector3d accel_mps2 = Eigen::Vector3d::Zero();
};

class Rings {
 public:
  void add(const Ring& ring);
  [[nodiscard]] RingState at(double t) const;
  [[nodiscard]] const std::vector<Ring>& all() const { return rings_; }

 private:
  std::vector<Ring> rings_;  // in time order
  double longest_s_ = 0.0;
};

}  // namespace simulate
