#pragma once

#include <string>

#include "libkinetics/loading/bar_load.h"

/// Bars that are not straight: their own mass, and where their sleeves are against the lifter.

namespace kinetics {

struct SpecialBar {
  std::string name = {};
  Mass mass = Mass::kilograms(20.0);
  /// How much higher it rests on the lifter than a straight bar does; negative: lower.
  double rests_higher_m = 0.0;
  /// How far its sleeves are below the part that rests on the lifter (camber).
  double sleeves_lower_m = 0.0;
};

/// Throws Error{kUsage} naming the bar for a mass or an offset that cannot be.
void check_bar(const SpecialBar& bar);

/// Sets the load's bar: its mass and name.
void take_bar(BarLoad& load, const SpecialBar& bar);

/// Height of the sleeves, which chains and bands hang from and a clip shows, for a lifter in the
/// position in which a straight bar's would be at `straight_height_m`.
[[nodiscard]] double sleeve_height_m(const SpecialBar& bar, double straight_height_m);

/// What to add to heights seen with one bar to have them with the other, same lifter, same depth.
[[nodiscard]] double sleeve_shift_m(const SpecialBar& from, const SpecialBar& to);

}  // namespace kinetics
