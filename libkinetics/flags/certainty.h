#pragma once

#include <optional>
#include <string_view>

/// How sure a measurement makes a statement, in words a coach can use.

namespace kinetics {

enum class Certainty {
  kCertain,     ///< measurement error explains it in less than 1 of 20 cases
  kLikely,      ///< in 1 of 20 to 1 of 4
  kCannotTell,  ///< in 1 of 4 to 3 of 4: neither is likely
};

/// "certain", "likely", "cannot tell".
[[nodiscard]] std::string_view in_words(Certainty certainty);

/// How sure it is that something lies beyond a limit, when it was measured to lie `beyond` it (past
/// it positive) with a standard error.
///
/// A limit that is exactly reached is called certain in 1 of 20 measurements, likely in 4 more and
/// left open in 10. Nothing comes back in the other 5: the limit was more likely kept.
/// Source  normal distribution; one-sided quantiles 1.6448536 (95 %) and 0.6744898 (75 %).
[[nodiscard]] std::optional<Certainty> certainty_beyond(double beyond, double sigma);

}  // namespace kinetics
