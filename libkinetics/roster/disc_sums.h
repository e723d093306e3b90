#pragma once

#include <optional>
#include <vector>

#include "libkinetics/roster/roster.h"

/// Which loads the gym's discs can make.

namespace kinetics {

/// What can be put on one side, nearest to what is wanted; equal when it can be made to within
/// 50 g, which rounding pounds to half kilograms may cost.
struct DiscSums {
  bool can_be_made = false;
  double below_kg = 0.0;                          ///< the most that is no more than wanted
  std::optional<double> above_kg = std::nullopt;  ///< the least that is no less, if any
};

/// Discs go on in pairs, one a side; an odd one of a kind stays off.
[[nodiscard]] DiscSums disc_sums(const std::vector<DiscGear>& discs, double side_kg);

}  // namespace kinetics
