#pragma once

#include "libkinetics/session/session.h"

/// On which day the lifting was.

namespace kinetics {

/// Fills in `provenance.held_on`: as the options tell, else from the time at which the clip was
/// recorded, else from when the log began. A time in UTC falls on the day that this computer's time
/// zone says. A note tells where the day was taken from; without any it stays empty.
void find_day(Session& session);

}  // namespace kinetics
