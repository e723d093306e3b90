#pragma once

#include <string>

#include "libkinetics/speed_day/day_session.h"

/// A whole day on the terminal: every set, whose it is and how sure that is.

namespace kinetics {

[[nodiscard]] std::string day_table(const DaySession& day);

}  // namespace kinetics
