#pragma once

#include <vector>

#include "libkinetics/kinematics/rep.h"

/// Words the reasons of a log's missing numbers as a log's.

namespace kinetics {

/// A log has no disc to hide: what is missing there are readings. And it tells of heights only.
void speak_of_readings(std::vector<Rep>& reps);

}  // namespace kinetics
