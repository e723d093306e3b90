#pragma once

#include <string>

#include "libkinetics/speed_day/day_session.h"

/// A speed day for other programs: which set is whose, and how sure that is.

namespace kinetics {

/// One object: format "kinetics day", schema_version, held_on, sheet, recordings, and
///   rows    of the sheet in the order they were to be lifted: row, lifter, lift, load (in words),
///           start, set, planned_reps
///   sets    in time order: number, begins (by the sheet's clock, else since the recording began),
///           recording, recording_s, session (its file in the logbook), row (null: no row's), match
///           ("certain", "likely", "doubtful", "your word", "extra set"), certainty, corrected,
///           against (what speaks against the match, in words, weightiest first), alternatives
///           (row, words), like (the lifter an extra set moves like), reps, flags, and figures as
///           {"value", "lo", "hi"} or {"not_measured"}: fastest_mps, mean_mps, last_mps, loss
///   missed  numbers of rows without a set
///   notes   kind, text
/// Names and numbers as in json.h; what each set held in full is in its session.
[[nodiscard]] std::string to_json(const DaySession& day);

}  // namespace kinetics
