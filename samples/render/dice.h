#pragma once

#include <cstdint>
#include <random>

/// Draws that mean the same on every machine: the standard library's own distributions do not.

namespace render {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  double uniform(double lo, double hi) {
    return lo + (hi - lo) * (double(engine_() >> 11) * 0x1.0p-53);
  }
  int whole(int lo, int hi) { return lo + static_cast<int>(uniform(0.0, hi - lo + 1.0)); }
  bool chance(double share) { return uniform(0.0, 1.0) < share; }
  /// Near normal with the given sigma, never beyond three of them.
  double around(double sigma) { return sigma * (uniform(-1, 1) + uniform(-1, 1) + uniform(-1, 1)); }

 private:
  std::mt19937_64 engine_;
};

}  // namespace render
