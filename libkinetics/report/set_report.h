#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// One analysed recording on paper.

namespace kinetics {

/// An HTML page that needs nothing but itself: who lifted what, every rep's figures with half of
/// the 95 % interval, each set and each flag in words with its evidence, height and velocity over
/// time and over each rise, where the numbers come from, and the usual cautions. One page for a set
/// of up to six reps, and mostly for twelve; more flow on.
///
/// Of a day's set (`DaySet::session`), which has no motion, the charts are left out.
[[nodiscard]] std::string set_report(const Session& session);

}  // namespace kinetics
