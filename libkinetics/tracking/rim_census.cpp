#include "libkinetics/tracking/rim_census.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/LU>

#include "libkinetics/tracking/rim_rays.h"

namespace kinetics {
namespace {

using Eigen::Vector2d;

/// Of what counts as an edge, grey levels per px.
constexpr double kLeastSlope = 2.0;

}  // namespace

std::vector<float> RimCensus::mean() const {
  std::vector<float> all;
  if (by_sector.empty()) return all;
  all.assign(kCount, 0.0F);
  for (std::size_t k = 0; k < by_sector.size(); ++k) all[k % kCount] += by_sector[k] / kSectors;
  return all;
}

RimCensus census_of_rims(const LumaView& picture, const Ellipse& ellipse) {
  std::vector<RimRay> rays = lay_rays(ellipse);
  const double radius = ellipse.mean_radius_px();
  RimCensus census{
      .by_sector = std::vector<float>(std::size_t{RimCensus::kSectors} * RimCensus::kCount, 0.0F)};
  std::array<float, RimCensus::kSectors> rays_in{};
  EdgeReader edges;
  for (std::size_t i = 0; i < rays.size(); ++i) {
    RimRay& ray = rays[i];
    // Two overlapping stretches, since a ray keeps only its few strongest edges.
    std::vector<char> hit(RimCensus::kCount, 0);
    for (const double middle : {0.80, 1.0, 1.2, 1.4, 1.6}) {
      const Vector2d place = ellipse.centre + middle * (ellipse.shape * ray.on_circle);
      edges.read(picture, place, static_cast<int>(0.10 * radius), kLeastSlope, ray);
      for (std::size_t k = 0; k < ray.count; ++k) {
        const double local = ellipse.shape.determinant() > 0
                                 ? (ellipse.shape * ray.on_circle).dot(ray.normal)
                                 : radius;
        const double factor = middle + ray.edges[k].offset_px / local;
        const int bin =
            static_cast<int>(std::lround((factor - RimCensus::kFirst) / RimCensus::kStep));
        for (int b = bin - 1; b <= bin + 1; ++b) {
          if (b >= 0 && b < RimCensus::kCount) hit[static_cast<std::size_t>(b)] = 1;
        }
      }
    }
    const std::size_t sector = i * RimCensus::kSectors / rays.size();
    rays_in[sector] += 1.0F;
    for (std::size_t b = 0; b < hit.size(); ++b) {
      census.by_sector[sector * RimCensus::kCount + b] += hit[b];
    }
  }
  for (std::size_t k = 0; k < census.by_sector.size(); ++k) {
    census.by_sector[k] /= std::max(1.0F, rays_in[k / RimCensus::kCount]);
  }
  return census;
}

}  // namespace kinetics
