#pragma once

#include <vector>

#include <opencv2/core.hpp>

/// Finds round things in a small picture. Internal.

namespace kinetics {

struct Circle {
  double x_px = 0.0;  ///< in the small picture's pixels
  double y_px = 0.0;
  double radius_px = 0.0;
  double score = 0.0;  ///< share of the circumference whose edges point at the centre, about 0 to 1
};

struct CircleFinderOptions {
  double min_radius_px = 7.0;
  double max_radius_px = 70.0;
  double min_score = 0.30;  ///< lower finds fainter discs and more clutter to reject afterwards
  int max_count = 12;
};

/// Circular gradient voting: each edge pixel votes, along its gradient both ways, for the centres
/// of the circles it may lie on. Ellipses down to 0.85 : 1 still gather enough votes.
///
/// `moving`, when not empty, is a mask of the same size: only edges where it is set vote.
/// Source  C. Kimme, D. Ballard, J. Sklansky, Comm. ACM 18(2):120–122, 1975 (gradient-directed
///         Hough transform for circles).
[[nodiscard]] std::vector<Circle> find_circles(const cv::Mat1b& picture,
                                               const CircleFinderOptions& options = {},
                                               const cv::Mat1b& moving = {});

}  // namespace kinetics
