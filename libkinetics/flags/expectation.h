#pragma once

#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/roster/roster.h"

/// The velocity a lifter is expected to show at a load.

namespace kinetics {

/// Straight lines between the roster's points, which are sorted by load; the standard error of the
/// value carries over from the points as they weigh in, as if independent. Beyond the points the
/// nearest line goes on for a tenth of its own loads; further out, or with a single point for
/// another load, nothing is expected (kNotApplicable).
[[nodiscard]] Measured expected_velocity(const std::vector<ExpectedVelocity>& points,
                                         double load_kg);

}  // namespace kinetics
