#pragma once

#include <optional>

#include "libkinetics/loading/bar_load.h"

/// What was on the bar in a session, and where the bar stood above the floor.

namespace kinetics {

/// Left empty the load is not known, and nothing that needs it is measured. A straight weight is
/// the same at every height; chains and bands need one of the two heights as well.
struct LoadingChoice {
  std::optional<BarLoad> load = std::nullopt;
  /// Height of the bar's centre line above the floor where the rises begin, or at the lockout. One
  /// is enough; the bottom counts when both are given.
  std::optional<double> bar_height_at_bottom_m = std::nullopt;
  std::optional<double> bar_height_at_lockout_m = std::nullopt;
  double height_sigma_m = 0.01;  ///< one standard error of that height: a tape held to the bar
};

}  // namespace kinetics
