#pragma once

#include <string>

#include "libkinetics/loading/bar_load.h"

/// Loads in words, for the coach and the crew.

namespace kinetics {

/// One line of what to hang: bar, discs a side, collars, chains, bands, and what it weighs bare.
/// "20 kg bar, 2 × 25 kg a side, 5 kg collars: 125 kg; 2 strands of chain (13 mm), 1.6 m".
[[nodiscard]] std::string describe(const BarLoad& load, MassUnit unit = MassUnit::kKilogram);

/// One line of what it weighs: "103.4 kg at the bottom, 105.6 kg mean, 106.8 kg at the top".
[[nodiscard]] std::string describe(const LoadSpan& span, MassUnit unit = MassUnit::kKilogram);

}  // namespace kinetics
