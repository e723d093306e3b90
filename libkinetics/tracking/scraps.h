#pragma once

#include <vector>

#include "libkinetics/tracking/disc_follower.h"

/// Glimpses of a mere scrap of the rim, judged by what was seen before and after. Internal.

namespace kinetics {

/// Where much less of the rim than usual was seen for a moment, what was taken for it may have been
/// a leg or a shadow. A curve through the well seen glimpses on either side says where the disc
/// must have been, since no bar leaves it by more than a centimetre in so short a time, or by a few
/// millimetres in a tenth of a second: by so much as a scrap lies farther off, its sigma grows.
/// `glimpses` are in order of their frames; stretches longer than a quarter of a second are left as
/// they are.
void doubt_scraps(double frame_rate_hz, std::vector<Glimpse>& glimpses);

}  // namespace kinetics
