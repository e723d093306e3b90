#pragma once

#include <string>
#include <vector>

#include "libkinetics/report/profile_table.h"

/// A profile as one page for a screen, a phone or a printer.

namespace kinetics {

/// For each: velocity over load with every set and its 95 % interval, the line, its band and the
/// band of one more set, the coach's band of velocities, the zone and the best single; below it the
/// mean power with its highest point; then what both say, in words. Sets set aside are crosses.
/// Self-contained SVG; colour is never alone: shapes, patterns and words carry the same.
[[nodiscard]] std::string profile_chart(const std::vector<ZoneOf>& profiles);

}  // namespace kinetics
