#pragma once

#include <string>
#include <vector>

#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/zone.h"

/// Profiles and zones as text for a terminal.

namespace kinetics {

/// What the line says at round loads, with half of each 95 % interval: of the line, and of one more
/// set on another day; then force, power and best single, how the line was got, sets set aside,
/// notes and cautions. Plain text, UTF-8, no line wider than kTableColumns.
[[nodiscard]] std::string profile_table(const std::vector<const Profile*>& profiles);

/// One lifter's zone with the set-ups that were asked for, against the common practice.
struct ZoneOf {
  const Profile* profile = nullptr;
  Zone zone;
};
[[nodiscard]] std::string zone_table(const std::vector<ZoneOf>& zones);

}  // namespace kinetics
