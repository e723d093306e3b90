#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/fuse_hub.h"

/// Where a hub lies on its disc's face, and how far rim and hub err, learnt from the frames in
/// which both were seen. Internal to fuse_hub.

namespace kinetics {

/// Seen together less often than this, nothing is learnt.
inline constexpr std::size_t kFewestTogether = 12;
/// Rings whose size differs more than this from the usual ratio are other rings, log.
inline constexpr double kSameRing = 0.10;
/// Error of a whole rim, px, and the share of it that shows when it counts as whole.
inline constexpr double kWholeRimPx = 0.03;
inline constexpr double kWholeRim = 0.95;

inline double square(double x) {
  return x * x;
}

/// Radius of the circle of equal area, px.
[[nodiscard]] inline double radius_of(const Glimpse& g) {
  return std::sqrt(std::abs(static_cast<double>(g.xx) * g.yy - static_cast<double>(g.xy) * g.xy));
}

[[nodiscard]] double weighted_median(std::vector<std::pair<double, double>> value_and_weight);

/// One frame in which both were seen.
struct Pair {
  const Glimpse* hub = nullptr;
  const Glimpse* rim = nullptr;
  [[nodiscard]] double dx() const { return hub->x_px - rim->x_px; }
  [[nodiscard]] double dy() const { return hub->y_px - rim->y_px; }
  [[nodiscard]] double log_size() const { return std::log(radius_of(*rim) / radius_of(*hub)); }
  /// A rim that shows little of itself teaches little.
  [[nodiscard]] double weight() const { return std::pow(rim->rim_seen, 8); }
};

[[nodiscard]] std::vector<Pair> pairs_of(const std::vector<Glimpse>& hub,
                                         const GlimpsesByFrame& disc);

/// Offset = at_middle + slope · (y − middle), by weighted least squares with Tukey's biweight.
struct Line {
  double at_middle = 0.0, slope = 0.0, slope_sigma = 0.0, spread = 0.0;
  [[nodiscard]] double at(double y_from_middle) const { return at_middle + slope * y_from_middle; }
};

/// Where the hub lies on the face, as the camera sees it, and how far each of the two errs.
struct HubPlace {
  double middle_y = 0.0;
  Line x, y;
  double hub_radius_px = 0.0;  ///< usual
  double log_size = 0.0;       ///< of the disc over the hub
  double size_sigma = 0.0;
  double rim_usual = 1.0, hub_usual = 1.0;  ///< share of each that shows when it shows well
  double rim_floor_px = kWholeRimPx;        ///< error of each when it shows well
  double hub_floor_px = kWholeRimPx;
  double rim_px_per_cover = 0.6;  ///< and more per share of it not seen
  double hub_px_per_cover = 0.6;
  double rims_unsteadiness = 0.5;  ///< share of the rim in how unsteady their sizes are
  double hub_size_variance = 0.0;  ///< of the log of its size, beyond what its edges state
  double rim_size_variance = 0.0;  ///< of its log, beyond what its edges state

  [[nodiscard]] double rim_lasting_px(const Glimpse& rim) const {
    const double cover = std::max(0.0, kWholeRim - static_cast<double>(rim.rim_seen));
    return std::hypot(rim_floor_px, rim_px_per_cover * cover);
  }
  [[nodiscard]] double hub_lasting_px(const Glimpse& hub) const {
    return std::hypot(hub_floor_px, hub_px_per_cover * hub_cover(hub));
  }
  [[nodiscard]] double hub_cover(const Glimpse& hub) const {
    return std::max(0.0, hub_usual - static_cast<double>(hub.rim_seen));
  }
  [[nodiscard]] bool hub_shows_more(const Glimpse& hub, const Glimpse& rim) const {
    return hub_lead(hub, rim) > 0.0;
  }
  /// By how much more of what usually shows of it the hub shows than the rim does.
  [[nodiscard]] double hub_lead(const Glimpse& hub, const Glimpse& rim) const {
    return hub.rim_seen / hub_usual - rim.rim_seen / rim_usual;
  }
};

/// The part of a glimpse's variance that its own edges state.
[[nodiscard]] double stated_variance(double sigma_px, const Glimpse& g);

/// Variance of the log of a glimpse's size, as its edges state.
[[nodiscard]] double size_variance(const Glimpse& g);

/// Nothing when the two were seen together too seldom.
[[nodiscard]] std::optional<HubPlace> learn_place(std::vector<Pair> pairs);

}  // namespace kinetics
