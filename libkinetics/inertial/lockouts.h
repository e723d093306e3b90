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

/// What the next pass may assume, from the states of the last one.
[[nodiscard]] UpwardAssumptions assume_from(const std::vector<UpwardReading>& readings,
                                            const LogStates& states,
                                            const Trust& trust);

/// Marks the rises during which the sensor was turned about as in no other rise of the log: it was
/// being fitted, taken off or carried.
void mark_handled(std::vector<UpwardReading>& readings, const LogStates& states);

}  // namespace kinetics
