#pragma once

#include <array>
#include <cstddef>

/// How far a sample lies off its neighbours, where nothing else tells its noise. Internal.

namespace kinetics {

/// Weights of four values taken at the times `t_s` (all different): their weighted sum is how far
/// the value `own` lies below the parabola through the other three (Lagrange's interpolation).
[[nodiscard]] inline std::array<double, 4> off_parabola_weights(const std::array<double, 4>& t_s,
                                                                std::size_t own) {
  std::array<double, 4> weights{};
  for (std::size_t j = 0; j < 4; ++j) {
    weights[j] = j == own ? -1.0 : 1.0;
    for (std::size_t k = 0; k < 4; ++k) {
      if (j != own && k != own && k != j) weights[j] *= (t_s[own] - t_s[k]) / (t_s[j] - t_s[k]);
    }
  }
  return weights;
}

}  // namespace kinetics
