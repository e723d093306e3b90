#pragma once

#include <cstddef>
#include <string>

#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/sheet.h"

/// A session sheet, checked, in words for a terminal.

namespace kinetics {

struct SheetVerdict {
  std::string text;          ///< ends with a newline; no line is wider than a table
  std::size_t problems = 0;  ///< cells to mend
};

/// One line a set with its load at the bottom and at the top of the lift, then everything that is
/// wrong, and cautions where a load at the top is beyond a stated limit. The loads need what the
/// roster knows of heights: where one end of the lift is not known, its load is not shown.
[[nodiscard]] SheetVerdict check_in_words(const SheetReading& reading, const Roster& roster);

}  // namespace kinetics
