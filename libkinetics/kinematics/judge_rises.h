#pragma once

#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/kinematics/phases.h"

/// Which rises are repetitions of a lift, and which are an unrack, a disc being carried, a bounce.
///
/// Internal to the room.

namespace kinetics {

/// Keeps the repetitions, in time order, and says what was left out when the coach may miss it.
[[nodiscard]] std::vector<Rise> keep_reps(const std::vector<Rise>& rises, Notes& notes);

}  // namespace kinetics
