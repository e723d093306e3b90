#include "tests/tracking/drawn_disc.h"

#include <algorithm>
#include <cmath>
#include <random>

namespace kinetics_test {

Picture draw(const DrawnDisc& disc, int width, int height) {
  Picture picture;
  picture.width = width;
  picture.height = height;
  std::mt19937 random(disc.seed);
  std::normal_distribution<double> noise(0.0, 1.0);
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double u = (x - disc.x_px) / disc.half_width_px;
      const double v = (y - disc.y_px) / disc.half_height_px;
      const double r = std::hypot(u, v);
      // Distance to the ellipse to first order: (r − 1) over the length of r's gradient.
      const double slope = r > 1e-9
                               ? std::hypot(u / disc.half_width_px, v / disc.half_height_px) / r
                               : 1.0 / disc.half_width_px;
      const double outward_px = (r - 1.0) / slope;
      const double share = 0.5 * std::erfc(outward_px / (std::sqrt(2.0) * disc.edge_blur_px));
      const double grey = disc.outside + share * (disc.inside - disc.outside) +
                          (disc.noise > 0.0 ? disc.noise * noise(random) : 0.0);
      picture.pixels.push_back(static_cast<std::uint8_t>(std::clamp(std::lround(grey), 0L, 255L)));
    }
  }
  return picture;
}

}  // namespace kinetics_test
