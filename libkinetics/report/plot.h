#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// Height and velocity over time, reps shaded, as one SVG.

namespace kinetics {

[[nodiscard]] std::string to_svg(const Session& session);

}  // namespace kinetics
