#include "libkinetics/tracking/sleeve.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include <Eigen/Eigenvalues>

#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

using Eigen::Vector2d;

/// Sleeves are 50 mm wide, discs 450 mm (federation rules).
constexpr double kHalfWidthShare = 0.111;
/// The strip is looked for from beside the hub on: a sleeve of 0.4 m reaches so far when it is seen
/// 18 degrees off square. A sticker or a letter is shorter.
constexpr double kFrom = 0.26;
constexpr double kTo = 0.60;
constexpr int kPlaces = 12;
constexpr std::size_t kDirections = 60;
/// So far beside the middle it is looked for, in half widths.
constexpr int kMostAside = 3;
constexpr double kAsideStep = 0.4;
/// Least difference from the face on both sides, grey levels, and how much more than any other way.
constexpr double kLeastContrast = 6.0;
constexpr double kOverOthers = 2.0;
/// What differs by less is the same strip.
constexpr double kOneStripRad = 0.9;
/// A smaller disc's sleeve is a few pixels wide.
constexpr double kSmallestRadiusPx = 30.0;

/// Difference of the strip from what lies on both sides of it; 0 where it lies between the two.
double contrast_at(const LumaView& picture,
                   const Vector2d& at,
                   const Vector2d& across,
                   double half_width_px) {
  const auto grey = [&](double share) {
    const Vector2d p = at + share * half_width_px * across;
    return static_cast<double>(
        grey_at(picture, static_cast<float>(p.x()), static_cast<float>(p.y())));
  };
  const double strip = (grey(-0.4) + grey(0.0) + grey(0.4)) / 3.0;
  const double over_one = strip - 0.5 * (grey(1.6) + grey(2.0));
  const double over_other = strip - 0.5 * (grey(-1.6) + grey(-2.0));
  if (over_one * over_other <= 0.0) return 0.0;
  return std::copysign(std::min(std::abs(over_one), std::abs(over_other)), over_one);
}

/// Least contrast of a strip along this way, from the hub to its end; 0 where it is too little.
double strip_contrast(const LumaView& picture,
                      const Vector2d& from,
                      const Vector2d& to,
                      double half_width_px) {
  const Vector2d way = (to - from).normalized();
  const Vector2d across(-way.y(), way.x());
  double least = 255.0;
  double sign = 0.0;
  for (int i = 0; i < kPlaces; ++i) {
    const Vector2d at = from + (to - from) * i / (kPlaces - 1);
    const double here = contrast_at(picture, at, across, half_width_px);
    if (i == 0) sign = here;
    if (std::abs(here) < kLeastContrast || here * sign < 0.0) return 0.0;
    least = std::min(least, std::abs(here));
  }
  return least;
}

/// The same for the strip that shows best of those beside each other: the middle of the outline,
/// which may be all that is known yet, is not quite that of the face.
double best_strip(const LumaView& picture,
                  const Ellipse& face,
                  const Vector2d& way,
                  double half_width_px) {
  const Vector2d across(-way.y(), way.x());
  const double reach_px = face.reach_px(way);
  double best = 0.0;
  for (int aside = -kMostAside; aside <= kMostAside; ++aside) {
    const Vector2d middle = face.centre + kAsideStep * aside * half_width_px * across;
    best = std::max(best,
                    strip_contrast(picture,
                                   middle + kFrom * reach_px * way,
                                   middle + kTo * reach_px * way,
                                   half_width_px));
  }
  return best;
}

}  // namespace

std::optional<Vector2d> sleeve_direction(const LumaView& picture, const Ellipse& face) {
  if (face.mean_radius_px() < kSmallestRadiusPx) return std::nullopt;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(face.shape);
  const double half_width_px = kHalfWidthShare * axes.eigenvalues()(1);
  std::array<double, kDirections> contrasts{};
  const auto angle = [](std::size_t k) {
    return 2.0 * std::numbers::pi * static_cast<double>(k) / kDirections;
  };
  for (std::size_t k = 0; k < kDirections; ++k) {
    const Vector2d way(std::cos(angle(k)), std::sin(angle(k)));
    contrasts[k] = best_strip(picture, face, way, half_width_px);
  }
  const auto best = std::max_element(contrasts.begin(), contrasts.end());
  const double at = angle(static_cast<std::size_t>(best - contrasts.begin()));
  double other = 0.0;
  Vector2d sum = Vector2d::Zero();
  for (std::size_t k = 0; k < kDirections; ++k) {
    const double apart = std::abs(std::remainder(angle(k) - at, 2.0 * std::numbers::pi));
    if (apart > kOneStripRad) {
      other = std::max(other, contrasts[k]);
    } else {
      sum += contrasts[k] * Vector2d(std::cos(angle(k)), std::sin(angle(k)));
    }
  }
  if (*best <= 0.0 || *best < kOverOthers * other) return std::nullopt;
  return sum.normalized();
}

}  // namespace kinetics
