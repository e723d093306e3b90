#pragma once

#include <string>

#include "libkinetics/speed_day/day_session.h"

/// A speed day on paper: one page for up to eight lifters, more flow on.

namespace kinetics {

/// An HTML page that needs nothing but itself. Above, how many sets and reps, which rows were not
/// seen and which matches are doubtful, with what else they could be. For each lifter a small
/// picture of every rep's mean velocity with its 95 % interval, set beside set on one scale for
/// all, over a table of the sets' figures; more than twelve sets take the page's whole width, more
/// than twenty-four a second picture. Below, what the marks mean and the usual cautions. Colour is
/// never alone: slowed reps are triangles with the word beside them, the zone has dashed edges.
///
/// `club` heads the page; it may be empty.
[[nodiscard]] std::string day_report(const DaySession& day, const std::string& club = "");

}  // namespace kinetics
