#pragma once

#include <optional>

#include "libkinetics/kinematics/phases.h"

/// The instant a movement starts out of rest, or stops into it, sharper than a smooth curve can
/// tell.
///
/// Internal to the room.

namespace kinetics {

/// Which end of which travel a crossing belongs to.
struct EdgeKind {
  int direction = 1;  ///< 1 rise, -1 descent
  bool start = true;  ///< false: the end
};

/// Re-estimates a threshold crossing next to rest.
///
/// A smoother spreads a sudden start over its own width and so sees it early, and a stop late; both
/// make a mean velocity too low. Here rest and drive are two regimes that meet at an unknown
/// instant, at which the acceleration may jump. Every instant near the first estimate is tried,
/// and the crossing averaged over them by likelihood, which gives its spread as well.
///
/// Empty when the bar is not at rest beside the crossing, or too few sightings surround it.
[[nodiscard]] std::optional<Crossing> refine_edge(const Motion& motion,
                                                  const Crossing& crossing,
                                                  EdgeKind kind,
                                                  double travel_s,
                                                  double threshold_mps);

}  // namespace kinetics
