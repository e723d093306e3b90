#pragma once

#include <string>

#include "libkinetics/logbook/check.h"
#include "libkinetics/logbook/history.h"

/// The logbook in words, for a terminal: no line wider than kTableColumns, file names apart.

namespace kinetics {

/// Sessions by day, one line each; with their files below each when `with_files`. Sessions that do
/// not count are marked.
[[nodiscard]] std::string list_in_words(const SessionList& list, bool with_files);

/// What a check found, how to mend it, and what was done.
[[nodiscard]] std::string check_in_words(const LogbookCheck& check);

}  // namespace kinetics
