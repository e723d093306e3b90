#include "libkinetics/tracking/stamp_stray.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "libkinetics/core/median.h"
#include "libkinetics/core/off_parabola.h"

namespace kinetics {
namespace {

/// Stray shows in what moves this fast, noise in what moves between these, m/s.
constexpr double kFastMps = 0.3;
constexpr double kSlowestMps = 0.03;
constexpr double kSlowMps = 0.15;
constexpr std::size_t kFewestFast = 30;
/// Neighbours farther apart tell too little of each other, s.
constexpr double kNearS = 0.15;
/// Few pictures of a clip may stray: judged by the size that so many stay below, which of a normal
/// distribution is so many sigmas.
constexpr double kQuantile = 0.85;
constexpr double kQuantileSigmas = 1.4395;
/// True stamps look as if they strayed by 0.02 of a frame interval, in bad pictures by 0.06 (the
/// bar's own jerks, noise); a bar wrongly followed looks worse, but when it is slow as well.
constexpr double kLeastShare = 0.08;
constexpr double kTimesNoise = 3.0;

struct Off {
  double off_m = 0.0;  ///< from the parabola through three neighbours, by its own weights' norm
  double velocity_mps = 0.0;
};

/// The second or third of four sightings against the other three.
Off off_of(const std::array<const PathPoint*, 4>& p, std::size_t own) {
  const auto weights = off_parabola_weights({p[0]->t_s, p[1]->t_s, p[2]->t_s, p[3]->t_s}, own);
  double off_m = 0.0;
  double norm2 = 0.0;
  for (std::size_t j = 0; j < weights.size(); ++j) {
    off_m += weights[j] * p[j]->y_m;
    norm2 += weights[j] * weights[j];
  }
  return {std::abs(off_m) / std::sqrt(norm2),
          std::abs(p[3]->y_m - p[0]->y_m) / (p[3]->t_s - p[0]->t_s)};
}

double sigma_by_quantile(std::vector<double>& sizes) {
  if (sizes.empty()) return 0.0;
  const auto place =
      sizes.begin() + static_cast<std::ptrdiff_t>(kQuantile * static_cast<double>(sizes.size()));
  std::nth_element(sizes.begin(), place, sizes.end());
  return *place / kQuantileSigmas;
}

}  // namespace

double stray_of_stamps_s(const BarPath& path) {
  std::vector<const PathPoint*> seen;
  for (const PathPoint& p : path.points) {
    if (p.seen) seen.push_back(&p);
  }
  std::vector<double> fast_s;
  std::vector<double> fast_mps;
  std::vector<double> slow_m;
  std::vector<double> intervals_s;
  for (std::size_t i = 0; i + 3 < seen.size(); ++i) {
    const std::array<const PathPoint*, 4> four{seen[i], seen[i + 1], seen[i + 2], seen[i + 3]};
    intervals_s.push_back(four[1]->t_s - four[0]->t_s);
    const bool near = four[1]->t_s - four[0]->t_s < kNearS &&
                      four[2]->t_s - four[1]->t_s < kNearS && four[3]->t_s - four[2]->t_s < kNearS;
    if (!near) continue;
    for (const std::size_t own : {std::size_t{1}, std::size_t{2}}) {
      const Off off = off_of(four, own);
      if (off.velocity_mps > kFastMps) {
        fast_s.push_back(off.off_m / off.velocity_mps);
        fast_mps.push_back(off.velocity_mps);
      } else if (off.velocity_mps > kSlowestMps && off.velocity_mps < kSlowMps) {
        slow_m.push_back(off.off_m);
      }
    }
  }
  if (fast_s.size() < kFewestFast) return 0.0;
  const double noise_s = sigma_by_quantile(slow_m) / median_of(fast_mps);
  const double stray_s = sigma_by_quantile(fast_s);
  const bool strays =
      stray_s > kLeastShare * median_of(intervals_s) && stray_s > kTimesNoise * noise_s;
  return strays ? std::sqrt(stray_s * stray_s - noise_s * noise_s) : 0.0;
}

}  // namespace kinetics
