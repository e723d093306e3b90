#pragma once

#include <string>

#include "libkinetics/loading/mass.h"

/// Masses, forces and item names in words. Internal to the room.

namespace kinetics {

/// As stamped: "25 kg", "2.5 lb", "1.25 kg".
[[nodiscard]] std::string mass_text(const Mass& mass);

/// Rounded to a tenth in the unit asked for: "103.4 kg", "228 lb".
[[nodiscard]] std::string load_text(double kg, MassUnit unit);

/// `where`, then "chain 2 (13 mm)": which item an error is about.
[[nodiscard]] std::string item_text(const std::string& where,
                                    const std::string& kind,
                                    std::size_t index,
                                    const std::string& name);

}  // namespace kinetics
