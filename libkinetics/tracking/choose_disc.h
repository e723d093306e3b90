#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/disc_track.h"

/// Decides which of the followed discs is on the bar. Internal.

namespace kinetics {

/// What speaks for a disc: it travels up and down, far, often, and its rim is well seen.
struct DiscMerit {
  double up_and_down_m = 0.0;  ///< sum of its vertical excursions of 0.10 m and more
  double sideways_m = 0.0;     ///< horizontal travel along with them
  double rim_seen = 0.0;       ///< mean
  double radius_px = 0.0;      ///< median
  PixelPoint where;            ///< median place
  PixelPoint from;             ///< where and when it was first seen: a seed for it
  double seen_from_s = 0.0;
  [[nodiscard]] double score() const;
};

[[nodiscard]] DiscMerit merit_of(const DiscFollower& disc,
                                 const std::vector<double>& frame_times_s,
                                 double disc_radius_m);

/// Correlation of two discs' heights over the pictures both were seen in; 0 when these are few.
[[nodiscard]] double moves_along(const DiscFollower& a, const DiscFollower& b);

/// Whether a larger disc that moves along with another shows enough of itself to be preferred: it
/// is the rim around that hub or lip, or the near disc of that far one's bar. Who stands before the
/// near disc for much of the way leaves the far one to be measured.
[[nodiscard]] bool shows_enough(const DiscMerit& larger, const DiscMerit& other);

struct Choice {
  std::size_t disc = 0;
  /// Another that is as likely and moves at other times, so that a guess could be wrong.
  std::optional<std::size_t> rival;
};

/// The best disc; nothing when there is none at all. A far disc of the same bar, which moves along
/// with the near one and looks smaller, is no rival.
[[nodiscard]] std::optional<Choice> choose_disc(const std::vector<DiscFollower>& discs,
                                                const std::vector<DiscMerit>& merits);

/// The disc that is filmed: the chosen one, or its rival where that is clearly larger, thus nearer,
/// and as well seen: the other is the next rack's. Nothing when a guess could be wrong.
[[nodiscard]] std::optional<std::size_t> nearer_of(const Choice& choice,
                                                   const std::vector<DiscMerit>& merits);

/// The chosen disc's glimpses, one per frame at most, each the best of what rim and hub tell, with
/// the stretches other followers saw of the same disc (after a plate change, or lost for long)
/// filled in.
struct JoinedGlimpses {
  std::vector<Glimpse> glimpses;
  double scale_sigma_rel = 0.0;  ///< error of the scale that came in with the hub (1 sigma)
};
[[nodiscard]] JoinedGlimpses join_glimpses(const std::vector<DiscFollower>& discs,
                                           const std::vector<DiscMerit>& merits,
                                           std::size_t chosen,
                                           double frame_rate_hz);

}  // namespace kinetics
