#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/loading/bar_load.h"
#include "libkinetics/roster/set_plan.h"

/// Loads in words.

namespace kinetics {

/// "92.5 kg, 2 x heavy chain", in the unit in which the load was stated.
[[nodiscard]] std::string load_in_words(double stated_kg, MassUnit unit, const BarLoad& load);

/// From where to where the bar went, above the floor.
struct LiftHeights {
  double bottom_m = 0.0;
  double top_m = 0.0;
};

/// A caution for each limit that the load at the top passes; with chains or bands also what
/// check_load.h tells of them over the lift, when its heights are known, and how to handle them.
[[nodiscard]] Notes load_cautions(const BarLoad& load,
                                  double top_kg,
                                  std::optional<LiftHeights> heights,
                                  const std::vector<LoadLimit>& limits);

}  // namespace kinetics
