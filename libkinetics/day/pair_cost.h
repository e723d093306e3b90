#pragma once

#include <vector>

#include "libkinetics/day/match_sets.h"

/// What speaks against one set being one row, in points with their reasons.
///
/// Internal to the room.

namespace kinetics::day_detail {

/// 2.5 ln(1 + z²/4).
[[nodiscard]] double misfit(double z);

/// What is usual of a row's lifter, in the set's own frame. Not measured: not known.
struct Usual {
  Measured rom_m;
  Measured lockout_m;
};

/// Range and lockout alone: whose set it looks like.
[[nodiscard]] double body_misfit(const FoundSet& set,
                                 const Usual& usual,
                                 const MatchOptions& options);

/// All but time and order.
[[nodiscard]] double body_points(const FoundSet& set,
                                 const DayRow& row,
                                 const Usual& usual,
                                 const MatchOptions& options);
[[nodiscard]] std::vector<CostTerm> body_terms(const FoundSet& set,
                                               const DayRow& row,
                                               const Usual& usual,
                                               const MatchOptions& options);

/// Seconds by which a set came later than its row said, when the recording began at `began_s`.
[[nodiscard]] double lateness_s(const FoundSet& set, const DayRow& row, double began_s);
[[nodiscard]] CostTerm time_term(double late_s, const MatchOptions& options);
[[nodiscard]] CostTerm order_term(int overtaken, double points);

}  // namespace kinetics::day_detail
