#include "libkinetics/roster/disc_sums.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace kinetics {
namespace {

constexpr double kGrams = 1000.0;
constexpr std::size_t kSlackG = 50;
constexpr double kMostKg = 1000.0;  // on one side: beyond any sleeve

/// reachable[g] tells whether one side can weigh g grams, up to `most`.
std::vector<bool> reachable_grams(const std::vector<DiscGear>& discs, std::size_t most) {
  std::vector<bool> reachable(most + 1, false);
  reachable[0] = true;
  std::size_t top = 0;
  for (const DiscGear& disc : discs) {
    const auto step = static_cast<std::size_t>(std::lround(disc.mass_kg * kGrams));
    for (int pair = 0; pair < disc.count / 2 && top + step <= most; ++pair) {
      top += step;
      for (std::size_t g = top; g >= step; --g) {
        if (reachable[g - step]) reachable[g] = true;
      }
    }
  }
  return reachable;
}

}  // namespace

DiscSums disc_sums(const std::vector<DiscGear>& discs, double side_kg) {
  double all_kg = 0.0;
  for (const DiscGear& disc : discs) {
    const int pairs = disc.count / 2;
    all_kg += disc.mass_kg * pairs;
  }
  const auto most = static_cast<std::size_t>(std::ceil(std::min(all_kg, kMostKg) * kGrams)) + 1;
  const std::vector<bool> reachable = reachable_grams(discs, most);
  const auto wanted = static_cast<std::size_t>(std::lround(std::max(side_kg, 0.0) * kGrams));
  std::size_t below = std::min(wanted, most);
  while (!reachable[below]) --below;  // nothing at all can always be made
  std::size_t above = wanted;
  while (above <= most && !reachable[above]) ++above;
  DiscSums out;
  out.below_kg = static_cast<double>(below) / kGrams;
  if (above <= most) out.above_kg = static_cast<double>(above) / kGrams;
  out.can_be_made = wanted - below <= kSlackG || (above <= most && above - wanted <= kSlackG);
  return out;
}

}  // namespace kinetics
