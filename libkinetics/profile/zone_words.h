#pragma once

#include <optional>
#include <string>

#include "libkinetics/profile/zone.h"

/// Why a zone lies where it does, and what would fix one. Private to the room.

namespace kinetics {

[[nodiscard]] std::string apart_in_words(const VelocityLine& line, const Zone& zone);

[[nodiscard]] std::string unsure_in_words(const Zone& zone, double reference_kg);

/// Nothing when the best single is neither entered nor estimated.
[[nodiscard]] std::optional<CommonPractice> common_practice(const Profile& profile,
                                                            const Zone& zone,
                                                            const ZoneOptions& options);

/// The smallest session, two loads on one day, after which both ends would be known well enough: as
/// few sets as do, and of those as light as does. Never above 85 % of the best single.
[[nodiscard]] std::optional<ZoneTest> zone_test(const Profile& profile,
                                                const Zone& zone,
                                                const ZoneOptions& options);

}  // namespace kinetics
