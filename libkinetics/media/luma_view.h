#pragma once

#include <cstddef>
#include <cstdint>

/// A window on a picture's 8-bit luma, seen the way a person would see the clip.

namespace kinetics {

/// Non-owning. Pixel (x, y) counts from the top left of the *displayed* picture, x right, y down.
/// A rotated or mirrored clip is not copied: its steps are swapped or negative.
struct LumaView {
  const std::uint8_t* origin = nullptr;  ///< pixel (0, 0) as displayed
  int width = 0;
  int height = 0;
  std::ptrdiff_t step_x = 1;  ///< bytes from one pixel to its right neighbour
  std::ptrdiff_t step_y = 0;  ///< bytes from one pixel to the one below it

  [[nodiscard]] std::uint8_t at(int x, int y) const { return origin[x * step_x + y * step_y]; }
};

}  // namespace kinetics
