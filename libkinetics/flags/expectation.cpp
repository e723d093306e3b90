#include "libkinetics/flags/expectation.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace kinetics {
namespace {

constexpr double kSameLoad = 0.01;       // share: 1 kg in 100 moves no differently
constexpr double kFurthestBeyond = 0.1;  // share of the nearest line's loads

}  // namespace

Measured expected_velocity(const std::vector<ExpectedVelocity>& points, double load_kg) {
  for (const ExpectedVelocity& point : points) {
    if (std::abs(point.load_kg - load_kg) <= kSameLoad * load_kg) {
      return {point.velocity_mps, point.sigma_mps};
    }
  }
  if (points.size() < 2) return Reason::kNotApplicable;
  std::size_t upper = 1;
  while (upper + 1 < points.size() && points[upper].load_kg < load_kg) ++upper;
  const ExpectedVelocity& light = points[upper - 1];
  const ExpectedVelocity& heavy = points[upper];
  const double way = (load_kg - light.load_kg) / (heavy.load_kg - light.load_kg);
  const bool too_far = load_kg < light.load_kg * (1.0 - kFurthestBeyond) ||
                       load_kg > heavy.load_kg * (1.0 + kFurthestBeyond);
  if (too_far) return Reason::kNotApplicable;
  const double velocity = (1.0 - way) * light.velocity_mps + way * heavy.velocity_mps;
  if (velocity <= 0.0) return Reason::kNotApplicable;
  return {velocity, std::hypot((1.0 - way) * light.sigma_mps, way * heavy.sigma_mps)};
}

}  // namespace kinetics
