#pragma once

#include <string>
#include <vector>

#include "libkinetics/sheet/sheet.h"

/// Chains and bands as they are written in a sheet, read from other places.

namespace kinetics {

/// "2 x long chain + short chain x 4", "1 x light band a side", "none"; empty for none.
///
/// Errors  Error{kUnreadable} at `where` when a part makes no sense.
[[nodiscard]] std::vector<GearCount> gear_from_words(const std::string& words,
                                                     const std::string& where);

}  // namespace kinetics
