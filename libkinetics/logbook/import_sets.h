#pragma once

#include <string>
#include <vector>

#include "libkinetics/logbook/set_csv.h"
#include "libkinetics/roster/roster.h"

/// Sets known by their numbers alone, taken into a logbook.

namespace kinetics {

/// What to do with a set of whose day, lifter, lift and number the logbook has one already, with
/// other numbers.
enum class IfOther {
  kRefuse,
  kCorrect,  ///< store it as a correction of that one, which is kept
};

struct Imported {
  std::vector<std::string> stored;  ///< paths of the new session files
  std::size_t known = 0;            ///< sets that were in the logbook already, cell for cell
  std::size_t corrected = 0;        ///< of the stored, those that count in place of another
  Notes notes;
};

/// Stores each set as a session file named after day, lifter, lift and number. What the logbook
/// has already is not stored again, so that an import that was stopped can be repeated. Lifters
/// are written as the roster has them; without one all names pass.
///
/// Errors  Error{kUnreadable} for a lifter who is not in the roster, Error{kUsage} for a set that
///         the logbook has with other numbers, before anything is stored; then as store_session.
[[nodiscard]] Imported import_sets(SetsRead sets,
                                   const std::string& logbook,
                                   const Roster* roster,
                                   IfOther if_other = IfOther::kRefuse);

}  // namespace kinetics
