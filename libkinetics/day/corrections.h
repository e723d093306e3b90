#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/day/match_sets.h"

/// The coach's corrections, looked up and checked.
///
/// Internal to the room.

namespace kinetics::day_detail {

struct Fixed {
  std::vector<bool> set;                           ///< by set: the coach said what it is
  std::vector<std::optional<std::size_t>> row_of;  ///< by set: the row it is; empty: no row's
  std::vector<bool> row;                           ///< by row: it is taken
};

/// Errors  as match_sets.
[[nodiscard]] Fixed look_up(const std::vector<Correction>& corrections,
                            std::size_t sets,
                            const std::vector<DayRow>& rows);

}  // namespace kinetics::day_detail
