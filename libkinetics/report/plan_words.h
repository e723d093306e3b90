#pragma once

#include <string>

#include "libkinetics/training/next_loading.h"

/// The pieces of a plan in words and numbers, shared by table, sheet and chart. Internal to the
/// room.

namespace kinetics {

/// In the unit asked for, up to two decimals, none that are zero: "57.5", "126.5".
[[nodiscard]] std::string load_number(double kg, MassUnit unit);

/// "2 × 25 + 10" when every disc is stamped in this unit, else with units; "none".
[[nodiscard]] std::string discs_short(const DiscStack& side, MassUnit unit);

/// "wave 2, week 4 of 5, 57.5 % of the best single, second day, taper".
[[nodiscard]] std::string session_in_words(const WaveSession& session, int weeks);

/// "10 sets of 2, 60 s rest".
[[nodiscard]] std::string sets_in_words(const LiftDay& day);

/// "raise by 2.5 % of the best single", "hold", "lower by 2.5 % …".
[[nodiscard]] std::string move_in_words(const NextLoading& loading);

/// "0.69 to 0.81", or "not known".
[[nodiscard]] std::string expected_in_words(const Measured& expected);

/// The usual cautions beside suggested loads.
[[nodiscard]] std::string plan_cautions();

/// Every note once, however many lifters share it.
[[nodiscard]] Notes shared_notes(const LiftDay& day);

}  // namespace kinetics
