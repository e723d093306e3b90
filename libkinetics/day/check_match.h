#pragma once

#include <vector>

#include "libkinetics/day/match_sets.h"

namespace kinetics::day_detail {

/// Errors  those of match_sets that concern sets and options. Internal to the room.
void check_match(const std::vector<FoundSet>& sets, const MatchOptions& options);

}  // namespace kinetics::day_detail
