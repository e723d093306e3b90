#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/report/sticking_map.h"

/// Where the bar was slowest over all rises of one kind, and how that place moves from one kind to
/// another.

namespace kinetics {

/// What a place is told from. A box that raises the bottom changes heights above it without moving
/// anything in the room; heights against the top, where the lifter stands locked out, do not share
/// that.
enum class PlaceFrom {
  kBottom,  ///< m above the bottom of the rise
  kTop,     ///< m above the top of the rise, so below zero
  kShare,   ///< share of the range, 0 at the bottom and 1 at the top
};

/// A mean over rises that had a sticking region, and half of its 95 % interval.
struct MapPlace {
  double mean = 0.0;
  double half_width = 0.0;
};

/// The interval comes from the spread between reps, and from each one's own error where that is
/// larger; of a single rep it is its own measurement's alone. Empty without a sticking region.
[[nodiscard]] std::optional<MapPlace> slow_point(const MapGroup& group, PlaceFrom from);

/// How the slowest point of one kind lies against that of another.
struct MapShift {
  double shift_m = 0.0;
  double half_width_m = 0.0;  ///< of its 95 % interval
  [[nodiscard]] bool clear() const { return shift_m > half_width_m || -shift_m > half_width_m; }
};

/// Mean of `other` less that of `first`, from the spread between reps and each one's own error; of
/// shares the difference is one of shares. Empty with fewer than two sticking regions in either.
///
/// Source  B. L. Welch, Biometrika 1947; 34:28-35, with Student's t (expansion in R. A. Fisher,
///         E. A. Cornish, Technometrics 1960; 2:209-225; both from memory).
[[nodiscard]] std::optional<MapShift> shift_between(const MapGroup& first,
                                                    const MapGroup& other,
                                                    PlaceFrom from = PlaceFrom::kBottom);

/// "A" for the first kind, and so on; "A1" follows "Z".
[[nodiscard]] std::string letter_of(std::size_t group);

/// A sentence for each kind: where it is slowest, and how that lies against the first one.
[[nodiscard]] std::vector<std::string> places_in_words(const StickingMap& map);

}  // namespace kinetics
