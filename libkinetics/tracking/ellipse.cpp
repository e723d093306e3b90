#include "libkinetics/tracking/ellipse.h"

#include <cmath>

#include <Eigen/LU>

namespace kinetics {

double Ellipse::mean_radius_px() const {
  return std::sqrt(std::abs(shape.determinant()));
}

double Ellipse::reach_px(const Eigen::Vector2d& direction) const {
  return 1.0 / (shape.inverse() * direction).norm();
}

}  // namespace kinetics
