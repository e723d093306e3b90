#pragma once

#include <string>
#include <vector>

#include "libkinetics/report/sticking_map.h"

/// Sticking maps as text for a terminal.

namespace kinetics {

/// For each lifter and lift one row a kind: how many rises stuck, and where the bar was slowest as
/// a share of the range, above the bottom and below the top, each with half of its 95 % interval;
/// then the differences in words. Plain text, UTF-8, no line wider than kTableColumns.
[[nodiscard]] std::string sticking_table(const std::vector<StickingMap>& maps);

}  // namespace kinetics
