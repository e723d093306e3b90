#pragma once

#include <algorithm>
#include <cmath>

#include <opencv2/core.hpp>

#include "libkinetics/media/luma_view.h"

/// Reading a picture: single places between pixels, patches and small copies. Internal.

namespace kinetics {

/// Grey value at a place between pixel centres, bilinear. The place must lie inside the picture, a
/// pixel from its right and lower edge.
inline float grey_inside(const LumaView& view, float x, float y) {
  const int ix = static_cast<int>(x);
  const int iy = static_cast<int>(y);
  const float fx = x - static_cast<float>(ix);
  const float fy = y - static_cast<float>(iy);
  const auto between = [](float share, const std::uint8_t* p, std::ptrdiff_t step) {
    return static_cast<float>(p[0]) + share * static_cast<float>(p[step] - p[0]);
  };
  const std::uint8_t* p = view.origin + ix * view.step_x + iy * view.step_y;
  // Nearly every picture lies upright in memory, where neighbours are neighbours.
  const bool upright = view.step_x == 1;
  const float top = upright ? between(fx, p, 1) : between(fx, p, view.step_x);
  const std::uint8_t* q = p + view.step_y;
  const float bottom = upright ? between(fx, q, 1) : between(fx, q, view.step_x);
  return top + fy * (bottom - top);
}

/// The same anywhere; outside, the nearest edge pixel's value.
inline float grey_at(const LumaView& view, float x, float y) {
  return grey_inside(view,
                     std::clamp(x, 0.0F, static_cast<float>(view.width) - 1.001F),
                     std::clamp(y, 0.0F, static_cast<float>(view.height) - 1.001F));
}

/// The picture made `factor` times smaller, each pixel the mean of factor × factor pixels.
/// Pixel (i, j) of the result is centred on (factor·(i + ½) − ½, …) of the picture.
[[nodiscard]] cv::Mat1b shrink(const LumaView& view, int factor);

/// A copy of the part of the picture inside `area`, which must lie within it.
[[nodiscard]] cv::Mat1b copy_of(const LumaView& view, const cv::Rect& area);

}  // namespace kinetics
