#pragma once

#include <optional>
#include <string_view>

#include "libkinetics/roster/roster.h"

/// Looks up what the roster says of a lifter's lift.

namespace kinetics {

/// Null when nobody bears that name.
[[nodiscard]] const Lifter* find_lifter(const Roster& roster, std::string_view name);

/// The entry for a lift done with this bar and box; of several that fit, the one that names most of
/// them. Boxes within 6 mm are one: two tape readings. Null when none fits.
[[nodiscard]] const LifterLift* find_lift(const Lifter& lifter,
                                          std::string_view lift,
                                          std::string_view bar,
                                          std::optional<double> box_height_m);

}  // namespace kinetics
