#pragma once

#include <vector>

#include "libkinetics/inertial/lockouts.h"
#include "libkinetics/inertial/vertical.h"

/// Rises that no bar made: the sensor was carried, fitted, taken off or walked about with.
///
/// Internal to the room.

namespace kinetics {

/// Marks what was carried. A bar keeps its heading, and the rises of a set begin and end in the
/// same attitude and are alike in travel and time; a hand turns about the vertical as well, and
/// does nothing twice. Whether anything was marked.
bool mark_handled(std::vector<UpwardReading>& readings, const LogStates& states, bool spinning);

}  // namespace kinetics
