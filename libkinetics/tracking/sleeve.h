#pragma once

#include <optional>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/rim.h"

/// The bar's sleeve before the face of its disc, which tells where the bar points to. Internal.

namespace kinetics {

/// The way from the disc's middle to the sleeve's free end in the picture, a unit vector, x right,
/// y down. Seen off square the sleeve lies across the face as a strip of its own grey; the bar
/// points the other way. Nothing where no such strip reaches beyond the middle of the face: the
/// view is square or nearly so, the sleeve is short, or something is before it. `face` is the
/// disc's rim, roughly.
[[nodiscard]] std::optional<Eigen::Vector2d> sleeve_direction(const LumaView& picture,
                                                              const Ellipse& face);

}  // namespace kinetics
