#pragma once

#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/rim.h"

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
    const std::vector<float> seen = census_by_direction(picture, ellipse);
    sums_.resize(seen.size(), 0.0F);
    for (std::size_t b = 0; b < seen.size(); ++b) sums_[b] += seen[b];
    ++count_;
  }
  /// Empty before the disc has moved.
  [[nodiscard]] std::vector<float> mean() const {
    if (count_ < 4) return {};
    std::vector<float> mean = sums_;
    for (float& m : mean) m /= static_cast<float>(count_);
    return mean;
  }

 private:
  int most_;
  int count_ = 0;
  Eigen::Vector2d at_{-1e9, -1e9};
  std::vector<float> sums_;
};

}  // namespace kinetics
