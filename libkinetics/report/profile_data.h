#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/report/profile_table.h"

/// Profiles and zones for other programs.

namespace kinetics {

/// One object: format "kinetics profiles", schema_version, profiles. Units stand in the names;
/// intervals are {"value", "lo", "hi"}, lo and hi null where the interval has no end. What the
/// table says in sentences stands in "words". Predictions are at the table's round loads, or at
/// `even_loads` evenly spread ones (two or more) over the lifted ones and a little beyond, as a
/// drawing wants.
[[nodiscard]] std::string profiles_json(const std::vector<const Profile*>& profiles,
                                        std::optional<int> even_loads = std::nullopt);

/// The same with each profile's "zone".
[[nodiscard]] std::string zones_json(const std::vector<ZoneOf>& zones,
                                     std::optional<int> even_loads = std::nullopt);

/// One row a set: what was lifted, what the line says there, and whether it was set aside. Format
/// as to_csv's (csv.h).
[[nodiscard]] std::string profiles_csv(const std::vector<const Profile*>& profiles);

/// One row a set-up and load of the zone: lightest, most power, heaviest.
[[nodiscard]] std::string zones_csv(const std::vector<ZoneOf>& zones);

}  // namespace kinetics
