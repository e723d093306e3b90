#pragma once

#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/rim_census.h"

/// The rims concentric with a disc, over the places it has been. Internal.

namespace kinetics {

/// Mean of censuses of rims (see census_of_rims), each taken at a new place: the background behind
/// differs there, so that its edges average out and only what is on the disc stays.
class SpreadCensus {
 public:
  explicit SpreadCensus(int most) : most_(most) {}

  /// Whether the disc is somewhere it has not been looked at yet. `still` is its place with the
  /// camera's motion taken out.
  [[nodiscard]] bool due(const Eigen::Vector2d& still, double radius_px) const {
    return count_ < most_ && (still - at_).norm() >= 0.25 * radius_px;
  }
  void take(const LumaView& picture, const Ellipse& ellipse, const Eigen::Vector2d& still) {
    at_ = still;
    const RimCensus here = census_of_rims(picture, ellipse);
    sums_.resize(here.by_sector.size(), 0.0F);
    for (std::size_t b = 0; b < sums_.size(); ++b) sums_[b] += here.by_sector[b];
    ++count_;
  }
  /// Empty before the disc has moved.
  [[nodiscard]] RimCensus mean() const {
    if (count_ < 4) return {};
    RimCensus mean{.by_sector = sums_};
    for (float& m : mean.by_sector) m /= static_cast<float>(count_);
    return mean;
  }
  /// Forgets all, for a disc that turned out to be of another size.
  void begin_anew() { *this = SpreadCensus(most_); }

 private:
  int most_;
  int count_ = 0;
  Eigen::Vector2d at_{-1e9, -1e9};
  std::vector<float> sums_;
};

}  // namespace kinetics
