#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>
#include <opencv2/core.hpp>

#include "libkinetics/tracking/camera_pose.h"
#include "libkinetics/tracking/ellipse.h"

/// How far a whole small picture has moved, by the edges of what stands still. Internal.

namespace kinetics {

/// Holds a small picture's edges and tells how far later pictures have moved against it. Straight
/// edges count across themselves, so a wall of boards and the line of the floor are enough where
/// there are no corners for patches to hold on to.
///
/// The picture is cut into cells, and each has one vote: most of those with edges must agree, and
/// from over most of the picture's width both ways, since a person or a disc fills a part of it
/// only. Before a plain wall nobody agrees with one who walks by, and nothing is told.
///
/// Method  Gauss–Newton on grey differences (B. D. Lucas, T. Kanade, IJCAI 1981) for a similarity,
///         with Tukey's biweight (P. J. Huber, Robust Statistics, 1981).
class StillEdges {
 public:
  explicit StillEdges(const cv::Mat1b& picture);

  /// The pose of a picture of the same size, in its own pixels, found near `start`. What lies on
  /// one of the discs does not count. Nothing when too few agree.
  [[nodiscard]] std::optional<CameraPose> find(const cv::Mat1b& picture,
                                               const CameraPose& start,
                                               const std::vector<Ellipse>& discs) const;

 private:
  struct Edge {
    Eigen::Vector2f at, slope;
    float grey;
  };
  struct Cell {
    std::vector<Edge> edges;
    double middle_x = 0.0;  ///< from the picture's middle, as a share of its width
  };

  std::vector<Cell> cells_;
  cv::Mat1f smooth_;
};

}  // namespace kinetics
