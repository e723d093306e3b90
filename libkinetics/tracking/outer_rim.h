#pragma once

#include "libkinetics/tracking/rim_census.h"

/// Whether the rim that was followed is a lip, a painted ring or a smaller disc's, with the disc's
/// own rim outside it. Internal.

namespace kinetics {

struct OuterRim {
  double factor = 1.0;     ///< its radius over that of the followed one; 1 when there is none
  double sigma_rel = 0.0;  ///< 1 sigma of the factor, relative
};

/// From the census of rims (see census_of_rims), averaged over the places the disc has been: what
/// lies behind it differs from place to place, and only what is on the disc is seen everywhere. A
/// rim may also show against the bright parts of what lies behind only; it then stands alone, with
/// next to nothing inside and outside it; or some of it shows most of the way round. An empty
/// census says that there is none.
[[nodiscard]] OuterRim outer_rim(const RimCensus& mean_census);

}  // namespace kinetics
