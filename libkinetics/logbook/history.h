#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/history/lifted_set.h"

/// What the logbook remembers, set by set.

namespace kinetics {

/// Which sets are wanted; what is left empty lets all pass. Names are compared as in the roster.
struct HistoryFilter {
  std::optional<std::string> lifter = std::nullopt;
  std::optional<std::string> lift = std::nullopt;
  std::optional<std::string> from_day = std::nullopt;  ///< ISO 8601, that day included
  std::optional<std::string> to_day = std::nullopt;    ///< likewise
};

struct History {
  std::vector<LiftedSet> sets;  ///< by day, session and set
  Notes notes;                  ///< files that were passed over, and why
};

/// Reads the sets of a logbook's sessions. Sessions that do not say who lifted what are left out.
///
/// Errors  Error{kUnreadable} when there is no such folder. A damaged session is noted and left
///         out: the others stay readable.
[[nodiscard]] History read_history(const std::string& logbook, const HistoryFilter& filter = {});

}  // namespace kinetics
