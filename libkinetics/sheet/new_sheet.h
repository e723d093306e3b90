#pragma once

#include <string>

#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/sheet.h"

/// An empty session sheet to fill in.

namespace kinetics {

/// Headings with the club's unit, and a row for each lifter and lift of the roster with lifter,
/// lift, bar and box filled in and the rest left empty. Lines end in CR LF and the text begins with
/// a byte order mark, without which some spreadsheets read names in the wrong letters.
[[nodiscard]] std::string new_sheet(const Roster& roster);

}  // namespace kinetics
