#pragma once

#include <string>
#include <vector>

#include "libkinetics/profile/profile.h"

/// What table and chart of a profile say alike. Private to the report.

namespace kinetics {

[[nodiscard]] double in_unit(double kg, MassUnit unit);

/// "97.5 kg" or "215 lb": half kilograms, whole pounds.
[[nodiscard]] std::string load_words(double kg, MassUnit unit);
[[nodiscard]] std::string rounded_load(double kg, MassUnit unit);

/// "24 sets on 8 days, 2031-01-06 to 2031-03-07".
[[nodiscard]] std::string sets_and_days(const Profile& profile);

/// Round loads in the unit that cover the lifted ones, in kg: for a table.
[[nodiscard]] std::vector<double> round_loads_kg(const Profile& profile);

/// Entered best single, or else the estimate; 0 when neither is known.
[[nodiscard]] double share_base_kg(const Profile& profile);

/// "1620 ± 40" with `decimals`; the half of an interval that is not even is its wider side.
[[nodiscard]] std::string with_half(const Worked& worked, int decimals);

/// "Box squat of Odalys Brandt" is "Odalys Brandt: box squat, straight bar, box 45 cm".
[[nodiscard]] std::string title_of(const Profile& profile);

/// One sentence each on the best single, the weeks, the curve and the club.
[[nodiscard]] std::string best_single_words(const Profile& profile);
[[nodiscard]] std::string drift_words(const Profile& profile);
[[nodiscard]] std::string curve_words(const Profile& profile);
[[nodiscard]] std::string pooling_words(const Profile& profile);

/// "2031-02-03 set 4: 0.41 m/s at 110 kg, 0.31 below the line".
[[nodiscard]] std::string set_aside_words(const Profile& profile, const ProfilePoint& point);

}  // namespace kinetics
