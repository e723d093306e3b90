#pragma once

#include <functional>
#include <string>
#include <vector>

#include "libkinetics/core/progress.h"
#include "libkinetics/day/match_sets.h"
#include "libkinetics/day/split_sets.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/sheet.h"
#include "libkinetics/speed_day/assignments.h"
#include "libkinetics/speed_day/day_session.h"

/// A whole speed day in one call: one recording, one log or a folder of them, and the sheet.

namespace kinetics {

struct DayOptions {
  AnalysisOptions analysis;
  /// What the coach typed goes before what sheet and roster say of a set.
  std::function<void(AnalysisOptions&)> overrule = {};
  /// Hears how much of the measuring is done, from 0 to 1, once everything has been watched.
  Progress measuring = {};
  MatchOptions match;
  SplitOptions split;
  /// Threads: so many parts of recordings are watched at once, and sets measured. What is found is
  /// the same with any number.
  int jobs = 1;
  /// Of several machines that share the work, this one's share: every `of`-th recording.
  int part = 1;
  int of = 1;
  /// Sets whose row the coach names now. They are kept in the logbook for every later run.
  std::vector<NumberedAssignment> assignments = {};
};

/// What a day leaves in the logbook:
///   DAY_RECORDING_TIME_ROW-DIGEST.h5  one session file a set; its name tells what it holds, so
///   that
///                        a set that was stored is never stored twice. One of a set that has now
///                        been given another row is moved to replaced/.
///   SHEET.rows.txt       the coach's corrections
///   seen/                what was seen of each recording, so that a run that was interrupted goes
///                        on; may be deleted, at the price of watching again
struct DayPlaces {
  std::string seen;
  std::string assignments;
};
[[nodiscard]] DayPlaces day_places(const std::string& logbook, const Sheet& sheet);

/// Watches this machine's share of the recordings and keeps what is seen. Returns how many
/// recordings there are, and how many of them are done now.
struct DayShare {
  std::size_t recordings = 0;
  std::size_t done = 0;
};
[[nodiscard]] DayShare watch_day(const std::string& path,
                                 const Sheet& sheet,
                                 const std::string& logbook,
                                 const DayOptions& options,
                                 const Progress& progress = {});

/// Watches what has not been watched, splits it into sets, matches them with the sheet's rows,
/// analyses each with its row's load, and stores each.
///
/// Again     a second run with the same files and options changes nothing. One that was killed goes
///           on where it was and ends with what an undisturbed one would have.
/// Progress  is called from whichever thread has news, never from two at once.
/// Errors    as find_recordings, match_sets and plan_set; Error{kUsage} for an assignment of a set
///           or row that is not there. A recording that cannot be read or shows no bar is left out
///           and said; when that is every one, its error is thrown.
[[nodiscard]] DaySession analyse_day(const std::string& path,
                                     const Sheet& sheet,
                                     const Roster* roster,
                                     const std::string& logbook,
                                     const DayOptions& options,
                                     const Progress& progress = {});

}  // namespace kinetics
