#pragma once

#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/toml_table.h"

/// The gear of a roster. Internal to the room.

namespace kinetics::roster_detail {

/// Reads bars, discs, collars, chains, bands and racks from the top table.
[[nodiscard]] Gear read_gear(TomlTable& top);

inline constexpr NumberRange kMassKg{0.05, 1500.0};

}  // namespace kinetics::roster_detail
