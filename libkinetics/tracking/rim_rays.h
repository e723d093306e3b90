#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/ellipse.h"

/// Rays across a rim, and the sub-pixel edges on them. Internal.

namespace kinetics {

/// One place on a ray where the picture changes.
struct RimEdge {
  double offset_px = 0.0;  ///< outwards from the predicted rim
  double strength = 0.0;   ///< |grey levels per px|
};

constexpr std::size_t kEdgesPerRay = 4;

struct RimRay {
  Eigen::Vector2d on_circle;  ///< (cos φ, sin φ)
  Eigen::Vector2d normal;     ///< outward unit normal of the predicted ellipse there
  std::array<RimEdge, kEdgesPerRay> edges{};
  std::size_t count = 0;
};

/// Evenly spaced rays across the rim, as many as its length can tell apart; without edges yet.
[[nodiscard]] std::vector<RimRay> lay_rays(const Ellipse& ellipse);

/// Fills in the edges that stand out of the noise within so many pixels of the rim.
/// `blur_px` is the length of the motion blur in the picture.
void read_edges(const LumaView& picture,
                const Ellipse& ellipse,
                int reach,
                const Eigen::Vector2d& blur_px,
                std::vector<RimRay>& rays);

/// Reads the edges of a sharp picture about any place on a ray. Holds its buffers, for many calls.
class EdgeReader {
 public:
  /// Leaves the edges stronger than `least` within `reach_px` of `middle` in the ray, counted from
  /// there.
  void read(const LumaView& picture,
            const Eigen::Vector2d& middle,
            int reach_px,
            double least,
            RimRay& ray);

 private:
  std::vector<float> grey_;
  std::vector<float> slope_;
};

}  // namespace kinetics
