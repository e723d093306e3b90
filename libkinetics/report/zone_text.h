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

}  // namespace kinetics
