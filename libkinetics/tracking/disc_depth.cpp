#include "libkinetics/tracking/disc_depth.h"

#include <cmath>

#include <Eigen/LU>

namespace kinetics {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

/// Discs of 30 to 90 mm, or a stack, at 2.5 to 6 m.
constexpr double kUsualDepth = 0.015;
/// No disc is thinner than 15 mm at 5 m.
constexpr double kThinnestDepth = 0.003;
/// The vanishing point lies no farther than so many sigma from where it was taken to be: other
/// views have their own guesses.
constexpr double kFarthestView = 2.0;
/// One picture's share in what is learned of the depth: neighbouring frames err alike.
constexpr double kDepthShare = 0.05;
constexpr double kDepthPictures = 3.0;

}  // namespace

DiscDepth DiscDepth::guess(const LumaView& picture, double side, double below) {
  constexpr double kUsualSigma = 0.012;
  const double aspect = static_cast<double>(picture.width) / picture.height;
  DiscDepth depth;
  depth.value = {kUsualDepth, side * aspect, below};
  depth.covariance = Vector3d(std::pow(kUsualSigma, 2),
                              std::pow((0.10 + 0.5 * std::abs(side)) * aspect, 2),
                              std::pow(0.12 + 0.25 * std::abs(below), 2))
                         .asDiagonal();
  depth.first_value = depth.value;
  depth.first_covariance = depth.covariance;
  return depth;
}

DiscDepth DiscDepth::none() {
  DiscDepth depth;
  depth.value.setZero();
  depth.covariance *= 1e-12;
  depth.first_value = depth.value;
  depth.first_covariance = depth.covariance;
  return depth;
}

// Pictures all err alike, so never more than some pictures' worth is held against the first guess.
DiscDepth DiscDepth::learned(const Vector3d& told, const Matrix3d& information) const {
  const Matrix3d known = covariance.inverse();
  const Matrix3d added = information - known;
  const Matrix3d first = first_covariance.inverse();
  const double fade = kDepthShare / kDepthPictures;
  const Vector3d change = told - Vector3d(value(0), 0.0, 0.0);
  DiscDepth after = *this;
  after.covariance = ((1.0 - fade) * known + fade * first + kDepthShare * added).inverse();
  after.value = value + after.covariance * (kDepthShare * (information * change) +
                                            fade * first * (first_value - value));
  if (after.value(0) < kThinnestDepth) {
    // Nothing of the rear rim shows, and nothing tells where the bar points to.
    after.value = {0.0, first_value(1), first_value(2)};
    return after;
  }
  const Vector3d reach = kFarthestView * first_covariance.diagonal().cwiseSqrt();
  after.value.tail<2>() = after.value.tail<2>()
                              .cwiseMax((first_value - reach).tail<2>())
                              .cwiseMin((first_value + reach).tail<2>());
  return after;
}

}  // namespace kinetics
