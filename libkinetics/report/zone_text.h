#pragma once

#include <string>
#include <vector>

#include "libkinetics/profile/zone.h"

/// What table and chart of a zone say alike. Private to the report.

namespace kinetics {

/// "Zone: 97 to 121 kg mean load, 55 to 69 % of the best single.", or why there is none.
[[nodiscard]] std::string zone_headline(const Profile& profile, const Zone& zone);

/// Where it begins and ends, and what ends it there; empty when there is no zone.
[[nodiscard]] std::vector<std::string> zone_ends(const Profile& profile, const Zone& zone);

/// Whether some load of the zone can be hung with this set-up.
[[nodiscard]] bool can_be_hung(const ZoneLoads& loads);

/// "With 2 x heavy chain: bar 82.5 to 120.0 kg (90.4 to 127.9 mean), …" with the discs of a side.
[[nodiscard]] std::string zone_loads_words(const Profile& profile, const ZoneLoads& loads);

}  // namespace kinetics
