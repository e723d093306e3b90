#include "libkinetics/day/check_match.h"

#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::day_detail {

void check_match(const std::vector<FoundSet>& sets, const MatchOptions& options) {
  for (const double value : {options.time_sigma_s,
                             options.missed_cost,
                             options.extra_cost,
                             options.rom_sigma_m,
                             options.lockout_sigma_m,
                             options.rom_spread_m,
                             options.lockout_spread_m,
                             options.disc_sigma_m,
                             options.clock_sigma_s,
                             options.likely_points,
                             options.certain_points - options.likely_points}) {
    if (value > 0.0) continue;
    throw Error(ErrorCode::kUsage,
                "match_sets",
                fmt::format("an option is {}", value),
                "Widths and costs must be above zero, and certain_points above likely_points");
  }
  if (!(options.late_cost >= 0.0 && options.later_cost >= 0.0 && options.rep_cost >= 0.0) ||
      options.most_reps_off < 0 || options.most_rows_late < 1 || options.most_rows_late > 16) {
    throw Error(ErrorCode::kUsage,
                "match_sets",
                "a cost is below zero, or most_rows_late is not within 1 and 16",
                "See MatchOptions");
  }
  for (std::size_t i = 1; i < sets.size(); ++i) {
    if (sets[i].start_s >= sets[i - 1].start_s) continue;
    throw Error(ErrorCode::kUsage,
                fmt::format("set {} at {:.2f} s", i + 1, sets[i].start_s),
                fmt::format("it begins before set {}", i),
                "Sort the sets by their times");
  }
}

}  // namespace kinetics::day_detail
