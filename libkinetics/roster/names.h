#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

/// Names as people type them: case, spaces and hyphens do not matter, and a slip is recognised.

namespace kinetics {

/// Lower case (ASCII only), with runs of spaces, hyphens and underscores as one space, none at the
/// ends. Names are the same when their folded forms are.
[[nodiscard]] std::string folded(std::string_view name);

[[nodiscard]] bool same_name(std::string_view a, std::string_view b);

/// The one of `known` that was probably meant: fewest letters inserted, left out, exchanged or
/// swapped with a neighbour, at most a third of them. Nothing when none is near.
///
/// Source  F. J. Damerau, Commun ACM 1964; 7:171-176 (restricted: no letter is edited twice).
[[nodiscard]] std::optional<std::string> nearest_name(std::string_view typed,
                                                      const std::vector<std::string>& known);

/// "Perhaps X is meant" when one is near, else "Known are A, B, C", else `otherwise`.
[[nodiscard]] std::string meant_or_known(std::string_view typed,
                                         const std::vector<std::string>& known,
                                         const std::string& otherwise);

}  // namespace kinetics
