#pragma once

#include <cmath>
#include <numbers>

#include <Eigen/Core>

#include "samples/render/dice.h"

/// Normal draws on top of render::Dice, the same on every machine up to rounding.

namespace simulate {

class Normal {
 public:
  explicit Normal(std::uint64_t seed) : dice_(seed) {}
  /// Source  G. E. P. Box, M. E. Muller, Ann Math Stat 1958; 29:610–611.
  double draw() {
    if (kept_) {
      kept_ = false;
      return spare_;
    }
    const double radius = std::sqrt(-2.0 * std::log(1.0 - dice_.uniform(0.0, 1.0)));
    const double angle = dice_.uniform(0.0, 2.0 * std::numbers::pi);
    kept_ = true;
    spare_ = radius * std::sin(angle);
    return radius * std::cos(angle);
  }
  Eigen::Vector3d draw3() {
    const double x = draw(), y = draw(), z = draw();
    return {x, y, z};
  }
  render::Dice& dice() { return dice_; }

 private:
  render::Dice dice_;
  double spare_ = 0.0;
  bool kept_ = false;
};

}  // namespace simulate
