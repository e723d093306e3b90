#pragma once

#include <optional>
#include <vector>

#include "libkinetics/day/found_set.h"
#include "libkinetics/kinematics/rep.h"

/// Splits the reps of one long recording into sets.

namespace kinetics {

/// What was seen of the disc during one rep.
struct DiscSeen {
  std::optional<double> radius_px;
  int view = 1;  ///< grows each time the camera was moved or bumped
};

struct SplitOptions {
  /// Rest between two reps from which on a new set begins, s. Shorter splits sets of lifters who
  /// breathe long under the bar; longer joins those of lifters who hand over fast. Common practice,
  /// no source.
  double rest_s = 30.0;
  /// Least pause in which somebody else can take the bar, or a disc be changed, s. Common practice,
  /// no source.
  double hand_over_s = 10.0;
  /// Change of the disc's radius in the picture that says that it is another one, as a share.
  double disc_change = 0.08;
  /// Change of the lockout's height that says that somebody else stands under the bar, m.
  double lockout_change_m = 0.05;
};

/// The sets in time order. What their lockouts count from is left for the caller to say.
///
/// Rules   1. A rest of `rest_s` ends a set; so does a new view of the camera.
///         2. Where no rest is that long, a pause of `hand_over_s` still ends a set when the disc's
///            radius or the lockout's height differs on both sides of it; the middle value of each
///            side counts, lockouts of full reps alone. A side that is a single rep tells little
///            (its walk-out may stand in for a lockout): it needs twice the pause.
/// Input   `table.reps` in time order; `discs` empty, or one a rep.
/// Errors  Error{kUsage} when there are discs, but not one a rep; when an option is not above zero;
///         when reps overlap or run backwards.
[[nodiscard]] std::vector<FoundSet> split_sets(const SetTable& table,
                                               const std::vector<DiscSeen>& discs = {},
                                               const SplitOptions& options = {});

}  // namespace kinetics
