#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include <opencv2/core.hpp>

#include "libkinetics/media/luma_view.h"

/// Reading a picture: single places between pixels, patches and small copies. Internal.

namespace kinetics {

/// A coordinate, which is never negative, in 256ths of a pixel.
inline int fine_place(float px) {
  return static_cast<int>(px * 256.0F + 0.5F);  // NOLINT(bugprone-incorrect-roundings)
}

/// Some places of a picture whose rows lie upright in memory (step_x is 1), and their pixels.
struct FinePlaces {
  static constexpr int kCount = 8;
  std::array<int, kCount> x, y;
  /// Of two rows, a pixel and its right neighbour in the higher byte.
  std::array<std::uint16_t, kCount> upper, lower;

  void set(int k, float x_px, float y_px) {
    x[static_cast<std::size_t>(k)] = fine_place(x_px);
    y[static_cast<std::size_t>(k)] = fine_place(y_px);
  }
  void read(const LumaView& view) {
    const auto pair = [](const std::uint8_t* p) {
      return static_cast<std::uint16_t>(p[0] | p[1] << 8);
    };
    for (std::size_t k = 0; k < kCount; ++k) {
      const std::uint8_t* p = view.origin + (x[k] >> 8) + (y[k] >> 8) * view.step_y;
      upper[k] = pair(p);
      lower[k] = pair(p + view.step_y);
    }
  }
  /// As grey_inside(). All numbers are whole and below 2^24, so that nothing is rounded.
  [[nodiscard]] float grey(int k) const {
    const auto at = static_cast<std::size_t>(k);
    const auto right_share = static_cast<float>(x[at] & 255);
    const auto lower_share = static_cast<float>(y[at] & 255);
    const auto between = [&](int pixels) {
      const auto left = static_cast<float>(pixels & 255);
      return 256.0F * left + right_share * (static_cast<float>(pixels >> 8) - left);
    };
    const float top = between(upper[at]);
    const float bottom = between(lower[at]);
    return (256.0F * top + lower_share * (bottom - top)) * (1.0F / 65536.0F);
  }
};

/// Grey value at a place between pixel centres, bilinear. The place is rounded to 256ths of a
/// pixel: off by 0.001 px (root mean square), and a quarter less time than with fractions. It must
/// lie inside the picture, a pixel from its right and lower edge; so it is never negative.
inline float grey_inside(const LumaView& view, float x, float y) {
  const int fine_x = fine_place(x);
  const int fine_y = fine_place(y);
  const int right_share = fine_x & 255;
  const int lower_share = fine_y & 255;
  const auto between = [&](const std::uint8_t* p, std::ptrdiff_t step) {
    return 256 * p[0] + right_share * (p[step] - p[0]);
  };
  const std::uint8_t* p = view.origin + (fine_x >> 8) * view.step_x + (fine_y >> 8) * view.step_y;
  // Nearly every picture lies upright in memory, where neighbours are neighbours.
  const bool upright = view.step_x == 1;
  const int top = upright ? between(p, 1) : between(p, view.step_x);
  const std::uint8_t* q = p + view.step_y;
  const int bottom = upright ? between(q, 1) : between(q, view.step_x);
  return static_cast<float>(256 * top + lower_share * (bottom - top)) * (1.0F / 65536.0F);
}

/// The same anywhere; outside, the nearest edge pixel's value.
inline float grey_at(const LumaView& view, float x, float y) {
  return grey_inside(view,
                     std::clamp(x, 0.0F, static_cast<float>(view.width) - 1.01F),
                     std::clamp(y, 0.0F, static_cast<float>(view.height) - 1.01F));
}

/// The picture made `factor` times smaller, each pixel the mean of factor × factor pixels.
/// Pixel (i, j) of the result is centred on (factor·(i + ½) − ½, …) of the picture.
[[nodiscard]] cv::Mat1b shrink(const LumaView& view, int factor);

/// A copy of the part of the picture inside `area`, which must lie within it.
[[nodiscard]] cv::Mat1b copy_of(const LumaView& view, const cv::Rect& area);

}  // namespace kinetics
