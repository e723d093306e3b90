#pragma once

#include <optional>
#include <vector>

#include "libkinetics/day/match_sets.h"

/// By how much the recording's clock and the sheet's differ.
///
/// Internal to the room.

namespace kinetics::day_detail {

/// Times of day (by the sheet) at which the recording may have begun: where the most pairs agree,
/// best first. `body` is sets × rows, points of each pair without its time, infinite for pairs that
/// may not be. Empty when no row has a time.
[[nodiscard]] std::vector<double> clock_candidates(const std::vector<FoundSet>& sets,
                                                   const std::vector<DayRow>& rows,
                                                   const std::vector<double>& body,
                                                   const MatchOptions& options);

/// The middle one of what the matched pairs say; nothing when none has a time.
[[nodiscard]] std::optional<double> began_by_matches(
    const std::vector<FoundSet>& sets,
    const std::vector<DayRow>& rows,
    const std::vector<std::optional<std::size_t>>& row_of);

[[nodiscard]] double clock_points(std::optional<double> began_s, const MatchOptions& options);

}  // namespace kinetics::day_detail
