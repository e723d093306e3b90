#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/inertial/bins.h"

/// Where in a log the sensor lay still, and where it was nearly so.
///
/// Internal to the room.

namespace kinetics {

/// Bins first to last, both included, in which nothing moved.
struct CalmStretch {
  std::size_t first = 0;
  std::size_t last = 0;
};

struct Stillness {
  /// Bar on its hooks or the floor: a second or more with nothing but the sensor's own noise.
  std::vector<CalmStretch> still;
  /// Little going on for a quarter of a second or more: a lockout that is held, a pause, the sensor
  /// at rest, but also a bar that glides evenly. Includes the still ones.
  std::vector<CalmStretch> quiet;
  double accel_noise_mps2 = 0.0;  ///< of one bin and axis, where it was calmest
  double rate_noise_radps = 0.0;
};

[[nodiscard]] Stillness find_stillness(const std::vector<Bin>& bins, bool has_gyroscope);

}  // namespace kinetics
