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
inline constexpr std::array<Quantity, 40> kQuantities{{
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
    {"bottom_load", "_kg", "kg", &Rep::bottom_load_kg},
    {"mean_load", "_kg", "kg", &Rep::mean_load_kg},
    {"top_load", "_kg", "kg", &Rep::top_load_kg},
    {"mean_force", "_n", "N", &Rep::mean_force_n},
    {"peak_force", "_n", "N", &Rep::peak_force_n},
    {"propulsive_force", "_n", "N", &Rep::propulsive_force_n},
    {"mean_power", "_w", "W", &Rep::mean_power_w},
    {"peak_power", "_w", "W", &Rep::peak_power_w},
    {"propulsive_power", "_w", "W", &Rep::propulsive_power_w},
    {"work", "_j", "J", &Rep::work_j},
    {"impulse", "_ns", "N s", &Rep::impulse_ns},
    {"propulsive_impulse", "_ns", "N s", &Rep::propulsive_impulse_ns},
    {"first_peak_velocity", "_mps", "m/s", &Rep::first_peak_velocity_mps},
    {"sticking_velocity", "_mps", "m/s", &Rep::sticking_velocity_mps},
    {"second_peak_velocity", "_mps", "m/s", &Rep::second_peak_velocity_mps},
    {"sticking_from", "_s", "s", &Rep::sticking_from_s},
    {"sticking_low", "_s", "s", &Rep::sticking_low_s},
    {"second_peak", "_s", "s", &Rep::second_peak_s},
    {"sticking_from_height", "", "1", &Rep::sticking_from_height},
    {"sticking_low_height", "", "1", &Rep::sticking_low_height},
    {"second_peak_height", "", "1", &Rep::second_peak_height},
    {"propulsive", "_s", "s", &Rep::propulsive_s},
    {"lockout", "_s", "s", &Rep::lockout_s},
    {"net_sideways", "_m", "m", &Rep::net_sideways_m},
    {"path_deviation", "_m", "m", &Rep::path_deviation_m},
    {"eccentric_peak_velocity", "_mps", "m/s", &Rep::eccentric_peak_velocity_mps},
    {"eccentric_variation", "", "1", &Rep::eccentric_variation},
    {"pause_rock", "_m", "m", &Rep::pause_rock_m},
    {"lockout_sway", "_m", "m", &Rep::lockout_sway_m},
}};

/// `part` is "", "_lo" or "_hi"; it stands before the unit.
[[nodiscard]] inline std::string name_of(const Quantity& q, std::string_view part = "") {
  return std::string(q.stem).append(part).append(q.unit_suffix);
}

}  // namespace kinetics
