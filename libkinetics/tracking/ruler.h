#pragma once

#include <cmath>
#include <cstddef>
#include <vector>

#include <Eigen/Core>

/// The disc as the ruler along the way of the bar: how many pixels its half height covers at each
/// place. Internal.

namespace kinetics {

/// A glimpse in square pixels, centre of the picture as origin, y up.
struct PlumbPoint {
  std::size_t frame = 0;
  double t_s = 0.0;
  Eigen::Vector2d at;  ///< camera motion taken out
  Eigen::Matrix2d shape;
  double sigma_x = 0.0, sigma_y = 0.0, lasting = 0.0, sigma_shape = 0.0;
  double rim_seen = 0.0;
  double reach = 0.0;     ///< of the ellipse along the plumb
  double along = 0.0;     ///< place along the plumb, px
  double sideways = 0.0;  ///< place to the right, in the same scale
  double speed = 0.0;     ///< along the plumb, px/s
  double nearer =
      0.0;  ///< log of how much nearer the camera it is than usual, for its place sideways
};

/// log(reach) = c0 + c1·s + c2·s² + line_time·(−speed): s is the place along the plumb in spans.
struct RulerModel {
  double middle = 0.0, span = 1.0;
  Eigen::Vector4d c = Eigen::Vector4d::Zero();
  double line_time_sigma_s = 1.0;
  bool line_time_known = false;
  /// Of a length over the whole way, as a share of it, 1 sigma: for places of the way at which the
  /// rim was not seen, or not steadily.
  double unseen_sigma_rel = 0.0;

  [[nodiscard]] double log_reach(double along) const {
    const double s = (along - middle) / span;
    return c(0) + c(1) * s + c(2) * s * s;
  }
  /// By how much the log of a disc's reach lies beside the ruler.
  [[nodiscard]] double beside(const PlumbPoint& p) const {
    return std::log(p.reach) - p.nearer - log_reach(p.along) + c(3) * p.speed;
  }
};

/// Between which a line's time must lie, s; positive where rows run down.
struct LineTimes {
  double least_s = 0.0;
  double most_s = 0.0;
};

/// Robust least squares over at least one point, with what perspective and lens may do as a prior.
[[nodiscard]] RulerModel fit_ruler(const std::vector<PlumbPoint>& points,
                                   const LineTimes& possible);

}  // namespace kinetics
