#pragma once

#include <cstddef>
#include <optional>
#include <random>
#include <vector>

#include "libkinetics/day/day_rows.h"
#include "libkinetics/day/found_set.h"

/// Days of invented lifters who take turns, with everything that goes wrong on such a day.

namespace kinetics_test {

struct DayScene {
  int lifters = 7;
  int rounds = 6;
  bool times_written = true;  ///< to the minute; else the order alone
  bool by_the_clock = true;   ///< a coach calls each turn; else turns follow each other
  bool heights_known = true;  ///< the roster tells everybody's range and lockout
  bool above_floor = true;    ///< else the lockouts' zero is unknown, and changes in mid-session
  bool same_reps = false;     ///< everybody is to lift the same number of reps
  bool clock_known = true;    ///< the recording tells when it began, but for its clock's error
  double reps_miscounted = 0.05;
};

struct SimulatedDay {
  std::vector<kinetics::DayRow> rows;
  std::vector<kinetics::FoundSet> sets;
  std::vector<std::optional<std::size_t>> truth;  ///< by set: its row; empty: the extra set
  /// By set: a row of who lifted it; empty: a guest.
  std::vector<std::optional<std::size_t>> lifter;
  std::optional<double> recording_start_s;
  double recording_began_s = 0.0;  ///< by the sheet's clock
};

/// One turn skipped, two neighbours' turns swapped, one extra set, one set that was not found, the
/// clocks up to ten minutes apart.
[[nodiscard]] SimulatedDay simulate_day(const DayScene& scene, std::mt19937& random);

}  // namespace kinetics_test
