#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/ellipse.h"

/// Counts the rims around a disc's centre. Internal.

namespace kinetics {

/// For each factor, the share of rays with an edge where `ellipse` scaled by it passes.
/// Concentric rims (a lip, a smaller disc outside) show as several peaks.
struct RimCensus {
  static constexpr double kFirst = 0.70;
  static constexpr double kStep = 0.01;
  static constexpr int kCount = 101;   ///< up to 1.70
  static constexpr int kSectors = 24;  ///< all alike wide, from the right on
  /// One after the other, of kCount each; empty when nothing was counted.
  std::vector<float> by_sector;

  [[nodiscard]] static double factor(int bin) { return kFirst + kStep * bin; }
  [[nodiscard]] float at(int sector, std::size_t bin) const {
    return by_sector[static_cast<std::size_t>(sector * kCount) + bin];
  }
  /// All round.
  [[nodiscard]] std::vector<float> mean() const;
};
[[nodiscard]] RimCensus census_of_rims(const LumaView& picture, const Ellipse& ellipse);

}  // namespace kinetics
