#pragma once

#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "libkinetics/media/luma_view.h"

/// Camera roll from the upright edges in view: rack posts, door frames, wall corners. Internal.

namespace kinetics {

struct Lean {
  double roll_rad = 0.0;  ///< at the asked place; positive: turn the picture clockwise to mend it
  double sigma_rad = 0.0;
  double edge_length_px = 0.0;  ///< total length of the edges that agree, in picture heights
};

/// Gathers upright edges from a few pictures of one clip.
class Uprights {
 public:
  void look(const LumaView& picture);

  /// How much uprights lean at column `x_px`, or nothing when too few are in view. With the camera
  /// tilted up or down they converge, so the lean is a straight line over x.
  [[nodiscard]] std::optional<Lean> lean_at(double x_px) const;

 private:
  struct Edge {
    double x_px = 0.0;
    double lean_rad = 0.0;
    double weight = 0.0;
  };
  std::vector<Edge> edges_;
  double height_px_ = 0.0;
  double width_px_ = 0.0;
  int pictures_ = 0;
};

}  // namespace kinetics
