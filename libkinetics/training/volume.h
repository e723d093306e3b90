#pragma once

#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/wave.h"

/// How many reps a session holds, against the coach's band and against a table in wide use.

namespace kinetics {

/// Reps at an intensity, from the log books of weightlifters.
struct RepTable {
  int least_a_set = 0;
  int most_a_set = 0;
  int least = 0;    ///< in a session
  int optimal = 0;  ///< likewise
  int most = 0;     ///< likewise
};

/// Prilepin's row for a share of the best single: below 70 %, 70 to below 80, 80 to below 90, from
/// 90 % on. Public copies differ in the edges and in the last row's optimum (7, here, or 4).
/// Source  A. S. Prilepin, as passed on in public copies (second-hand).
[[nodiscard]] RepTable reps_at(double share);

/// A caution when the session's reps lie outside the coach's band, with the sets that would bring
/// it inside; a session that was cut for a meet or is the lighter of the week may lie below.
/// A remark, never more, when the table differs. Without a band only the remark.
[[nodiscard]] Notes volume_notes(const WaveSession& session, const VolumeLimits& limits);

}  // namespace kinetics
