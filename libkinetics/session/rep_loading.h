#pragma once

#include <optional>
#include <span>
#include <vector>

#include "libkinetics/kinematics/force.h"
#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/session/loading_choice.h"

/// The load of a session put together with its reps.

namespace kinetics {

/// Where the floor lies below the path, from the height that was given and where the reps begin or
/// end. Empty when no height was given, or no rep was measured to hang it on.
[[nodiscard]] std::optional<BarHeight> bar_height_of(const LoadingChoice& loading,
                                                     std::span<const Rep> reps);

/// Fills in the forces of reps lifted with one load: a session's, or one set's. Without a load they
/// are not measured, and say so.
void measure_forces(const Motion& motion,
                    const LoadingChoice& loading,
                    double threshold_mps,
                    std::span<Rep> reps);

}  // namespace kinetics
