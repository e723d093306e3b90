#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/inertial/vertical.h"

/// Turning points of a first estimate, and what they are worth to the next one.
///
/// Internal to the room.

namespace kinetics {

using LogStates = SmoothedStates<kLogStates>;

/// How far a first estimate is trusted: from coarse to fine as the passes go on.
struct Trust {
  double lockout_sigma_m = 0.02;  ///< how alike lockouts are
  double odd_lockout_m = 0.05;    ///< one that is off by this counts half
  double rest_mps = 0.06;         ///< slower than this in a calm stretch is rest
  double rest_sigma_scale = 1.0;
};

/// A place where the height turns.
struct Turn {
  std::size_t at = 0;
  bool high = false;
};

/// Alternating highs and lows of the heights, those at the ends of the log included. The bar has
/// turned once it comes back by `turn_m`.
[[nodiscard]] std::vector<Turn> find_turns(const LogStates& states, double turn_m);

/// What the next pass may assume, from the states of the last one.
[[nodiscard]] UpwardAssumptions assume_from(const std::vector<UpwardReading>& readings,
                                            const LogStates& states,
                                            const Trust& trust);

}  // namespace kinetics
