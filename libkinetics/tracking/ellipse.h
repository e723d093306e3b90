#pragma once

#include <Eigen/Core>
#include <Eigen/LU>

/// The outline of a disc in a picture. Internal.

namespace kinetics {

/// The points centre + shape · (cos φ, sin φ). `shape` is symmetric, in pixels: a circle of radius
/// R is R times the identity.
struct Ellipse {
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();
  Eigen::Matrix2d shape = Eigen::Matrix2d::Identity();

  /// Radius of the circle of equal area.
  [[nodiscard]] double mean_radius_px() const;
  /// Half the extent along x, and along y.
  [[nodiscard]] double half_width_px() const { return shape.row(0).norm(); }
  [[nodiscard]] double half_height_px() const { return shape.row(1).norm(); }
  /// Distance from the centre to the rim along a unit direction.
  [[nodiscard]] double reach_px(const Eigen::Vector2d& direction) const;
  [[nodiscard]] Ellipse scaled(double factor) const { return {centre, shape * factor}; }
};

}  // namespace kinetics
