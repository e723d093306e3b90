#pragma once

#include <string>

#include "libkinetics/loading/mass.h"
#include "libkinetics/training/next_loading.h"

/// The loading sheet: what the crew hangs on the bar for whom, on paper.

namespace kinetics {

enum class Paper { kA4, kLetter };

/// One page or more a lift and day: lifters from the lightest bar to the heaviest, each with the
/// total in large figures, the discs of one side as they hang and in words, what changes from the
/// bar before, loads at bottom and top, the velocities to expect and a box to tick for each set.
/// Self-contained HTML without scripts, in black on white, laid out for the paper.
[[nodiscard]] std::string loading_sheet(const NextPlan& plan,
                                        const std::string& club,
                                        MassUnit unit,
                                        Paper paper);

}  // namespace kinetics
