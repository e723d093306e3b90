#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "libkinetics/tracking/disc_follower.h"

/// One track out of a disc's rim and a ring on its face (the hub). Internal.

namespace kinetics {

/// A disc's glimpses by frame.
using GlimpsesByFrame = std::map<std::int32_t, Glimpse>;

/// Combines, frame by frame, where the rim says the disc's centre is and where the hub says so.
///
/// The hub keeps its place on the face, but for a parallax when it stands out from it; both are
/// learnt where rim and hub are seen together. How much a covered rim errs is learnt from how the
/// two disagree. Where they part by more than that, the one that shows more of itself is believed,
/// for the shape too. Frames without a rim are filled in from the hub. `frame_rate_hz` tells how
/// many frames a repetition lasts.
///
/// Returns the error of the scale that comes with it (1 sigma, relative): the hub's parallax.
[[nodiscard]] double fuse_hub(const std::vector<Glimpse>& hub,
                              double frame_rate_hz,
                              GlimpsesByFrame& disc);

/// As above, but only where the rim was not seen: for any other ring that may lie on the disc.
void fill_from_ring(const std::vector<Glimpse>& ring, GlimpsesByFrame& disc);

/// Takes out what others filled in where it does not join on to what the disc itself showed: a
/// still ring beside a bar that has gone, for one. No bar moves that far between two pictures.
/// `own` is what the disc itself showed, all of it in `joined`; frames are numbered in both.
void drop_unjoined(const GlimpsesByFrame& own, double frame_rate_hz, GlimpsesByFrame& joined);

}  // namespace kinetics
