#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/day/pair_cost.h"

/// What is usual of each row's lifter: from the roster, or learnt from the day's own sets.
///
/// Internal to the room.

namespace kinetics::day_detail {

/// Usual values for every pair, sets × rows. `lifter_of` holds for each set the row whose lifter it
/// is beyond doubt, or nothing.
///
/// Learnt is the median of two or more sets of the same lifter and lift, without the set that is
/// judged; a lockout only among sets with the same zero. The roster's lockouts take part in views
/// whose zero is the median of two or more sets' differences to them. The standard error of a
/// median of n is 1.25 / √n of one value's (normal distribution, large n); one value's is the day's
/// own or the standard deviation seen, the larger.
[[nodiscard]] std::vector<Usual> usual_of_day(
    const std::vector<FoundSet>& sets,
    const std::vector<DayRow>& rows,
    const std::vector<std::optional<std::size_t>>& lifter_of,
    const MatchOptions& options);

}  // namespace kinetics::day_detail
