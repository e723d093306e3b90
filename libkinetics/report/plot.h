#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The session as one picture for a screen, a phone or a printer.

namespace kinetics {

/// Three charts over one time axis: height, velocity with its 95 % band, and each rep's mean
/// velocity with its 95 % interval. Rises are shaded and numbered, stretches without sight of the
/// disc are hatched, and where nothing was measured the lines stop. Below, for each of the first 24
/// reps, velocity over height with the sticking region, and the load over height when it was given.
/// Self-contained SVG: no script, no font, no outside file. Colours never carry a meaning alone.
[[nodiscard]] std::string to_svg(const Session& session);

}  // namespace kinetics
