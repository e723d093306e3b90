#pragma once

#include "libkinetics/tracking/bar_path.h"

/// Tells a clip whose pictures do not belong to the times they are stamped with. Internal.

namespace kinetics {

/// How far the moments at which pictures were taken stray from their stamps, s, 1 sigma; 0 when
/// that cannot be told from noise. A clip brought to another frame rate has pictures up to half a
/// frame interval beside their stamps, one from which pictures are missing a whole one.
///
/// Seen in a moving bar: it is off the smooth path of its neighbours by more the faster it moves,
/// and noise is not. Takes about a second of movement.
[[nodiscard]] double stray_of_stamps_s(const BarPath& path);

}  // namespace kinetics
