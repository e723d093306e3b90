#pragma once

#include "libkinetics/tracking/bar_path.h"

/// Tells a clip that lies on its side, its turn lost on the way. Internal.

namespace kinetics {

/// Whether the bar went to and fro across the picture, several times, and not up and down: no lift
/// looks like that in an upright picture. Walking out and back is once, and beside a lift.
[[nodiscard]] bool seems_to_lie(const BarPath& path);

}  // namespace kinetics
