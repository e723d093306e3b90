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

/// A caution for each limit that the load at the top passes, the bands' longest length among them,
/// and the usual one where chains or bands hang. Without `top_height_m` bands are not looked at.
[[nodiscard]] Notes load_cautions(const BarLoad& load,
                                  double top_kg,
                                  std::optional<double> top_height_m,
                                  const std::vector<LoadLimit>& limits);

}  // namespace kinetics
