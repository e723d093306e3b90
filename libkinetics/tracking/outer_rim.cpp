#include "libkinetics/tracking/outer_rim.h"

#include <algorithm>
#include <cstddef>

namespace kinetics {
namespace {

/// Share of rays that must meet an outer rim.
constexpr float kLeastOuterRim = 0.42F;
constexpr float kOverUsual = 0.25F;
/// Or this share, of one that stands alone: so many times what is seen this far inside and outside.
constexpr float kLeastAlone = 0.20F;
constexpr float kAloneTimes = 3.5F;
constexpr std::size_t kAlonePeakBins = 3;
constexpr std::size_t kAloneGapBins = 6;
constexpr double kLeastFactor = 1.04;
/// A rim half a bin off the middle of its peak, 1 sigma.
constexpr double kFactorSigma = 0.25 * RimCensus::kStep;

/// Or one that shows by so much more than what is just inside and outside it in so many eighths of
/// the way round: before a dark floor or behind a post it is not seen elsewhere. A rear rim beside
/// the front one, or another disc of the bar behind this one, is a crescent and shows in fewer.
constexpr float kOverGap = 0.08F;
constexpr int kEighths = 8;
constexpr int kFewestEighths = 5;

/// Least seen between so many and so many bins to one side.
float gap(const std::vector<float>& seen, std::size_t peak, int way) {
  float least = 1.0F;
  for (std::size_t k = kAlonePeakBins; k <= kAloneGapBins; ++k) {
    const std::size_t bin = way > 0 ? peak + k : peak - k;
    if (bin < seen.size()) least = std::min(least, seen[bin]);
  }
  return least;
}

bool stands_alone(const std::vector<float>& seen, std::size_t peak) {
  return seen[peak] > kLeastAlone && seen[peak] > kAloneTimes * gap(seen, peak, -1) &&
         seen[peak] > kAloneTimes * gap(seen, peak, 1);
}

/// What is seen in one eighth of the way round.
float in_eighth(const RimCensus& census, int eighth, std::size_t bin) {
  constexpr int kSectors = RimCensus::kSectors / kEighths;
  static_assert(kSectors * kEighths == RimCensus::kSectors);
  float sum = 0.0F;
  for (int s = 0; s < kSectors; ++s) sum += census.at(eighth * kSectors + s, bin);
  return sum / kSectors;
}

/// Mean of it between so many and so many bins to one side.
float eighth_gap(const RimCensus& census, int eighth, std::size_t peak, int way) {
  float sum = 0.0F;
  float count = 0.0F;
  for (std::size_t k = kAlonePeakBins; k <= kAloneGapBins; ++k) {
    const std::size_t bin = way > 0 ? peak + k : peak - k;
    if (bin >= RimCensus::kCount) continue;
    sum += in_eighth(census, eighth, bin);
    count += 1.0F;
  }
  return count > 0.0F ? sum / count : 0.0F;
}

bool goes_round(const RimCensus& census, std::size_t peak) {
  int eighths = 0;
  for (int e = 0; e < kEighths; ++e) {
    const float beside = std::max(eighth_gap(census, e, peak, -1), eighth_gap(census, e, peak, 1));
    if (in_eighth(census, e, peak) > beside + kOverGap) ++eighths;
  }
  return eighths >= kFewestEighths;
}

/// Where the peak's middle lies, to a fraction of a bin.
double factor_of_peak(const std::vector<float>& seen, std::size_t peak) {
  double sum = 0.0;
  double weight = 0.0;
  for (std::size_t k = peak - 2; k <= peak + 2; ++k) {
    sum += static_cast<double>(seen[k]) * RimCensus::factor(static_cast<int>(k));
    weight += static_cast<double>(seen[k]);
  }
  return sum / weight;
}

}  // namespace

OuterRim outer_rim(const RimCensus& mean_census) {
  const std::vector<float> seen = mean_census.mean();
  if (seen.empty()) return {};
  // Where nothing concentric is, rays still meet edges of whatever stands behind: the usual share.
  std::vector<float> beyond(seen.begin() + 34, seen.end());
  std::nth_element(beyond.begin(), beyond.begin() + 33, beyond.end());
  const float usual = beyond[33];
  for (int b = RimCensus::kCount - 3; RimCensus::factor(b) > kLeastFactor; --b) {
    const auto k = static_cast<std::size_t>(b);
    const bool peak = seen[k] >= seen[k - 1] && seen[k] >= seen[k + 1];
    const bool clear = seen[k] > std::max(kLeastOuterRim, usual + kOverUsual);
    if (peak && (clear || stands_alone(seen, k) || goes_round(mean_census, k))) {
      const double factor = factor_of_peak(seen, k);
      return {.factor = factor, .sigma_rel = kFactorSigma / factor};
    }
  }
  return {};
}

}  // namespace kinetics
