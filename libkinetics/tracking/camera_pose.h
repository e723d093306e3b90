#pragma once

#include <Eigen/Core>

/// How far the camera has moved. Internal.

namespace kinetics {

/// Where a point that was at p in the first frame is now: shift + linear · p. Near the identity.
struct CameraPose {
  Eigen::Matrix2d linear = Eigen::Matrix2d::Identity();
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();

  [[nodiscard]] Eigen::Vector2d now(const Eigen::Vector2d& first) const {
    return linear * first + shift;
  }
  [[nodiscard]] Eigen::Vector2d first(const Eigen::Vector2d& now) const {
    return linear.inverse() * (now - shift);
  }
};

}  // namespace kinetics
