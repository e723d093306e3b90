#pragma once

#include <vector>

#include "libkinetics/tracking/disc_follower.h"

/// The disc keeps its shape: what one picture says wrongly of it is taken out of the centre.
/// Internal.

namespace kinetics {

/// Moves each centre to where its own edges put it for the shape that all pictures together tell.
///
/// A partly covered rim, or one whose depth shows on one side, mixes up shape and place: a picture
/// that sees the disc too large sees it too far to the open side. The shape itself changes only
/// with the place in the picture (perspective), the speed (a shutter that reads row by row) and
/// slowly with the distance, which is fitted to all glimpses. Shapes are left as they were seen.
///
/// Accuracy  tests/tracking/steady_shape_test.cpp; on rendered clips see DEVELOPERS.md.
void steady_shape(double frame_rate_hz, std::vector<Glimpse>& glimpses);

}  // namespace kinetics
