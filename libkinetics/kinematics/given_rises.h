#pragma once

#include <span>
#include <vector>

#include "libkinetics/kinematics/phases.h"
#include "libkinetics/kinematics/reps.h"

/// Rises whose ends a person has told, with what surrounds them.
///
/// Internal to the room.

namespace kinetics {

/// One rise a span. What was found where a span lies is kept as far as it still holds: the descent
/// before it, the drop after it, and an end that was not moved.
///
/// Errors  as measure_reps.
[[nodiscard]] std::vector<Rise> rises_of(const Motion& motion,
                                         std::span<const RepSpan> spans,
                                         const RepOptions& options);

}  // namespace kinetics
