#pragma once

#include <optional>

#include "libkinetics/tracking/rim_census.h"

/// Whether a larger disc hangs behind the one that was followed. Internal.

namespace kinetics {

struct DiscBehind {
  double factor = 1.0;     ///< its diameter over that of the followed one
  double sigma_rel = 0.0;  ///< 1 sigma of the factor, relative
};

/// From the census of rims in pictures of colourfulness (see census_of_rims), averaged
/// over the places the disc has been. Seen from aside, a disc behind stands out on one side more
/// than on the other, as no ring on the disc's own face does; and what is not on the bar is not
/// where the disc is everywhere.
///
/// Method  votes of all directions for a circle's size and place (Hough's transform: R. O. Duda,
///         P. E. Hart, Comm. ACM 15(1):11–15, 1972).
[[nodiscard]] std::optional<DiscBehind> disc_behind(const RimCensus& census);

}  // namespace kinetics
