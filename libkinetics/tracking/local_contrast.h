#pragma once

#include "libkinetics/media/clip.h"

/// A picture of how much each place differs from what is around it. Internal.

namespace kinetics {

/// The frame with its faint edges made plain: smoothed over some pixels, which takes noise away,
/// less its surroundings' mean, times so much that the noise left is some grey levels. Places of
/// edges stay; a dark disc before a dark wall shows as a bright one would.
[[nodiscard]] Frame local_contrast_of(const Frame& frame);

}  // namespace kinetics
