#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/day/found_set.h"
#include "libkinetics/day/split_sets.h"
#include "libkinetics/speed_day/bar_work.h"

/// From the work done with the bar to sets. Internal.

namespace kinetics {

/// Reps of one stretch.
struct WorkPart {
  std::size_t work = 0;   ///< index
  std::size_t first = 0;  ///< rep of it
  std::size_t last = 0;   ///< one past the last
};

struct FoundDaySet {
  FoundSet found;               ///< times since the day's first recording began
  std::vector<WorkPart> parts;  ///< in time order; more than one where a file was split
  std::string same_as = {};     ///< another camera's file that shows it too
};

/// All sets of the day in time order. A set ends where the bar lay still for kBarAtRestS in a pause
/// of `hand_over_s` or more, and as split_sets says.
[[nodiscard]] std::vector<FoundDaySet> find_day_sets(const std::vector<Recording>& recordings,
                                                     const std::vector<BarWork>& work,
                                                     const SplitOptions& options);

}  // namespace kinetics
