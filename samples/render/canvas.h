#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "samples/render/geometry.h"

/// Painting with exact area coverage, straight into the planes the encoder takes.

namespace render {

/// A picture in YUV 4:2:0, BT.709, limited range.
struct Canvas {
  cv::Mat1b y, u, v;

  Canvas() = default;
  Canvas(int width_px, int height_px);
  [[nodiscard]] cv::Rect frame() const { return {0, 0, y.cols, y.rows}; }
};

/// A colour as the encoder sees it.
struct Yuv {
  double y = 16.0;
  double u = 128.0;
  double v = 128.0;
};

[[nodiscard]] Yuv yuv_from(Colour c);

/// What to fill an outline with.
struct Fill {
  Yuv colour;
  double opacity = 1.0;
  double texture = 0.0;  ///< strength, grey levels
  int texture_x = 0;     ///< texture's origin, px
  int texture_y = 0;
  bool wrap = false;          ///< see Patch
  std::optional<Yuv> onto{};  ///< see Patch
};

/// Paints outlines. Keeps its scratch memory, so use one a thread.
class Brush {
 public:
  Brush();
  /// Blends the outline's exact coverage of every pixel inside `window` (even origin and size).
  void fill(Canvas& canvas, const Outline& outline, const Fill& fill, cv::Rect window);

 private:
  void accumulate(const Outline& outline, double scale, cv::Rect window);
  template <typename Blend>
  void sweep(Blend&& blend);

  std::vector<float> area_;
  cv::Rect box_;
  std::vector<std::int8_t> texture_;
};

}  // namespace render
