#pragma once

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"

/// What is known of a disc's depth, and of where the bar points to. Internal.

namespace kinetics {

/// The disc's depth as the camera sees it. The rear rim is the front one drawn towards the
/// vanishing point of the bar's direction by the share `depth` = thickness / distance, so on the
/// side facing that point the outline lies outside the front rim. Left out, this shifts the centre
/// and swells the ruler, differently at each height.
///
/// Held as (depth, vanishing point): of a thin disc, or one behind whose front rim the rear one
/// hides, nothing is learnt of the point, and it stays where it was taken to be. The point is
/// counted from the picture's middle in picture heights, x right, y down.
struct DiscDepth {
  Eigen::Vector3d value{0.015, 0.0, 0.0};
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Identity();
  /// What it was taken for before anything was seen.
  Eigen::Vector3d first_value = value;
  Eigen::Matrix3d first_covariance = covariance;

  /// Before anything is known, with the vanishing point `side` picture widths right of the middle
  /// and `below` picture heights below it (a camera that looks down has it above).
  [[nodiscard]] static DiscDepth guess(const LumaView& picture, double side, double below = 0.0);
  /// Of what has none: a ring on a disc's face.
  [[nodiscard]] static DiscDepth none();

  /// Takes a share of what one picture says and lets go of a smaller share of what the pictures
  /// before it said. `told` is the picture's depth and its change of the vanishing point;
  /// `information` is of what was known before and what the picture adds, together.
  [[nodiscard]] DiscDepth learned(const Eigen::Vector3d& told,
                                  const Eigen::Matrix3d& information) const;
};

}  // namespace kinetics
