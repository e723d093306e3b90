#pragma once

#include "libkinetics/session/session.h"

/// Holds an analysed set against the coach's thresholds and what was planned.

namespace kinetics {

/// Fills in the session's findings from its reps, motion and options, and adds what a coach should
/// be told besides: loads beyond a stated limit, a load for which nothing is expected of the
/// lifter, more or fewer reps than planned. The reps stay as they are.
void judge(Session& session);

}  // namespace kinetics
