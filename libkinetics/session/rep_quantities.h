#pragma once

#include <array>
#include <string>
#include <string_view>

#include "libkinetics/kinematics/rep.h"

/// The list of what is measured of a rep, with the names it has in every file we write.

namespace kinetics {

/// One measured number of a rep. Its name in files is the stem and the unit: "mean_velocity_mps",
/// and with the ends of its 95 % interval "mean_velocity_lo_mps", "mean_velocity_hi_mps".
struct Quantity {
  std::string_view stem;
  std::string_view unit_suffix;  ///< "_mps", "_m", "_s", or nothing for a share
  std::string_view unit;         ///< as written in a file's unit attribute; "1" for a share
  Measured Rep::*member;
};

/// In the order in which files list them: new ones go to the end.
inline constexpr std::array<Quantity, 11> kQuantities{{
    {"mean_velocity", "_mps", "m/s", &Rep::mean_velocity_mps},
    {"peak_velocity", "_mps", "m/s", &Rep::peak_velocity_mps},
    {"rom", "_m", "m", &Rep::rom_m},
    {"propulsive_velocity", "_mps", "m/s", &Rep::propulsive_velocity_mps},
    {"concentric", "_s", "s", &Rep::concentric_s},
    {"time_to_peak", "_s", "s", &Rep::time_to_peak_s},
    {"eccentric", "_s", "s", &Rep::eccentric_s},
    {"eccentric_velocity", "_mps", "m/s", &Rep::eccentric_velocity_mps},
    {"pause", "_s", "s", &Rep::pause_s},
    {"sideways", "_m", "m", &Rep::sideways_m},
    {"velocity_loss", "", "1", &Rep::velocity_loss},
}};

/// `part` is "", "_lo" or "_hi"; it stands before the unit.
[[nodiscard]] inline std::string name_of(const Quantity& q, std::string_view part = "") {
  return std::string(q.stem).append(part).append(q.unit_suffix);
}

}  // namespace kinetics
