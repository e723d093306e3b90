#pragma once

#include <cstdint>
#include <vector>

#include "libkinetics/media/luma_view.h"

/// Pictures of one disc with a rim known in closed form, for the tracking tests.

namespace kinetics_test {

struct DrawnDisc {
  double x_px = 160.3, y_px = 119.7;  ///< centre
  double half_width_px = 75.0, half_height_px = 75.0;
  double edge_blur_px = 1.2;  ///< sigma of a Gaussian blur of the edge
  double inside = 60.0, outside = 120.0;
  double noise = 0.0;  ///< 1 sigma, grey levels
  unsigned seed = 1;
};

struct Picture {
  std::vector<std::uint8_t> pixels;
  int width = 0, height = 0;
  [[nodiscard]] kinetics::LumaView view() const { return {pixels.data(), width, height, 1, width}; }
};

[[nodiscard]] Picture draw(const DrawnDisc& disc, int width = 320, int height = 240);

}  // namespace kinetics_test
