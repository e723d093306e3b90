#pragma once

#include <optional>
#include <string>

#include "libkinetics/roster/roster.h"

/// Looking up what the roster knows of a lifter's lift.

namespace kinetics {

/// Nothing when the roster has no such lifter.
[[nodiscard]] const Lifter* find_lifter(const Roster& roster, const std::string& name);

/// The bar of that name; for an empty name the first one. Nothing when there is none.
[[nodiscard]] const BarGear* find_bar(const Gear& gear, const std::string& name);

/// Of the lifter's entries that fit lift, bar and box the one that names most of them. Nothing when
/// none fits.
[[nodiscard]] const LifterLift* fitting_lift(const Lifter& lifter,
                                             const std::string& lift,
                                             const BarGear* bar,
                                             std::optional<double> box_height_m);

}  // namespace kinetics
