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

/// The sets of a logbook's sessions, by its index (logbook.h). Sessions that do not say who lifted
/// what are left out, and so are those in place of which another one counts: one that the coach
/// corrected, a copy, an earlier analysis of the same recording.
///
/// Errors  Error{kUnreadable} when there is no such folder. A damaged session is noted and left
///         out: the others stay readable.
[[nodiscard]] History read_history(const std::string& logbook, const HistoryFilter& filter = {});

/// One session file, for a list.
struct SessionEntry {
  std::string file;     ///< its name without the folder
  std::string problem;  ///< why it cannot be read; the rest is then as it was when it still could
  std::string day;      ///< on which it was held, ISO 8601; empty when not known
  std::string start;
  std::string lifter;  ///< empty when it does not say who lifted what, and so are the next four
  std::string lift;
  std::string bar;
  std::string accommodating;
  double stated_load_kg = 0.0;
  MassUnit unit = MassUnit::kKilogram;
  int sets = 0;
  int reps = 0;
  Measured fastest_mps;     ///< mean velocity of the fastest full rep
  std::string source_name;  ///< of the clip or log
  std::string analysed_at;
  std::string supersedes;   ///< the file it corrects; empty for none
  std::string replaced_by;  ///< the file that counts in its place; empty when it counts itself
};

struct SessionList {
  std::vector<SessionEntry> sessions;  ///< by day and file
  Notes notes;
};

/// The session files of a logbook by its index, damaged and replaced ones too; with a filter for a
/// lifter or lift, those alone that say who lifted what. Errors: as read_history.
[[nodiscard]] SessionList list_sessions(const std::string& logbook,
                                        const HistoryFilter& filter = {});

}  // namespace kinetics
