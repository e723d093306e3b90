#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/roster/roster.h"

/// What is known of a set besides its motion: who lifted what, with which load, and what was
/// expected. Comes from a row of a session sheet and the roster, and is stored with the result.

namespace kinetics {

/// A stated limit of gear that the load may not pass.
struct LoadLimit {
  std::string of;  ///< "rack one"
  double limit_kg = 0.0;
  bool operator==(const LoadLimit&) const = default;
};

struct SetPlan {
  std::string sheet = {};  ///< file name without its folder
  int row = 0;             ///< as a spreadsheet numbers it
  std::string lifter = {};
  std::string lift = {};
  std::string bar = {};  ///< empty when no roster names one
  std::optional<double> box_height_m = std::nullopt;
  double stated_load_kg = 0.0;          ///< bar, discs and collars together, as on the sheet
  MassUnit unit = MassUnit::kKilogram;  ///< in which it was stated
  std::optional<int> set = std::nullopt;
  std::optional<int> planned_reps = std::nullopt;
  std::string start = {};  ///< time of day or place in the order, as on the sheet
  std::string notes = {};
  std::optional<double> best_single_kg = std::nullopt;
  /// Chains and bands in words, "2 x heavy chain", of a set whose load over height is not known:
  /// one whose numbers came from elsewhere.
  std::string accommodating = {};
  std::vector<ExpectedVelocity> expected = {};  ///< of this lifter in this lift, by load
  std::vector<LoadLimit> limits = {};           ///< of bar and racks
  bool operator==(const SetPlan&) const = default;
};

}  // namespace kinetics
