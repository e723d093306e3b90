#pragma once

#include <memory>

#include "samples/render/motion.h"

/// A bar that is let go and bounces.

namespace render {

struct Fall {
  std::shared_ptr<const Shape> shape;  ///< of the whole way down, bounces and all
  double length_s = 0.0;
  double lands_s = 0.0;  ///< when it first meets the floor
};

/// Falls `drop_m` with the given acceleration (hands may go along), bounces twice off rubber and
/// comes to rest.
[[nodiscard]] Fall fall(double drop_m, double accel_mps2);

}  // namespace render
