#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "libkinetics/speed_day/day_session.h"

/// A speed day put together by hand, without a recording: a sheet in which lifters take turns, and
/// reps drawn at random with every flag that a report has to show.

namespace kinetics_test {

struct DayRecipe {
  std::vector<std::string> lifters{"Odalys Brandt", "Imre Castellan"};
  int sets = 4;  ///< of each lifter
  int reps = 3;  ///< of each set
  bool chains = false;
  bool zone = true;
  bool second_lift = false;         ///< the last third of the sets is another one
  std::set<int> missed = {};        ///< places in the order, from 0: rows without a set
  std::set<int> doubtful = {};      ///< likewise: their match is doubtful, the next row likeliest
  std::set<int> not_measured = {};  ///< likewise: the second rep was hidden
  int extra = 0;                    ///< sets that no row fits, at the end
  bool pounds = false;
  bool decimal_commas = false;
  std::uint32_t seed = 1;
};

[[nodiscard]] kinetics::DaySession made_day(const DayRecipe& recipe);

/// The text of the recipe's sheet.
[[nodiscard]] std::string sheet_of(const DayRecipe& recipe);

}  // namespace kinetics_test
