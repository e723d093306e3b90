#pragma once

#include <optional>
#include <vector>

#include "libkinetics/loading/discs.h"

/// Plate arithmetic: what to hang on each side for a wanted total.

namespace kinetics {

/// Discs a club owns of one mass, in pairs: one a side.
struct DiscPairs {
  Mass mass = {};
  int pairs = 1;
};

/// One way to load the bar, the same on both sides.
struct DiscChoice {
  DiscStack side = {};    ///< heaviest disc first, which goes on the inside
  double total_kg = 0.0;  ///< bar and collars too
};

/// The nearest loads that can be hung. Both are the same when the wanted total can be hung exactly.
struct DiscPlan {
  double wanted_kg = 0.0;
  std::optional<DiscChoice> below = {};  ///< at most the wanted total; empty: the bar alone is more
  std::optional<DiscChoice> above = {};  ///< at least the wanted total; empty: too few discs
  bool exact = false;

  /// The nearer of the two; the lighter when both are as near.
  [[nodiscard]] const DiscChoice& nearest() const;
};

/// Plans both sides of a bar.
///
/// Shape     any number of kinds, kilograms and pounds mixed; all pairs may be used.
/// Accuracy  exact: masses are added as whole numbers of 10 ng, so that pounds stay pounds. Totals
///           within 1 mg of each other count as the same.
/// Errors    throws Error{kUsage} for a mass that is negative or not a number, a disc of no mass,
///           or so many odd masses that they cannot be tried out.
/// Choice    of the ways to hang one total: fewest discs, then the heaviest ones (common practice,
///           no source).
[[nodiscard]] DiscPlan plan_discs(Mass wanted,
                                  double bar_and_collars_kg,
                                  const std::vector<DiscPairs>& owned);

}  // namespace kinetics
