#pragma once

#include <optional>

#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/track_bar.h"

/// Follows a disc by its colour where its edge hardly shows by brightness: a blue disc before a
/// dark wall.

namespace kinetics {

/// Whether so little of the rim was seen that another look, by colour, is worth its time.
[[nodiscard]] bool poorly_seen(const DiscTrack& by_brightness);

/// As track_bar, by how colourful each pixel is. `by_brightness` is what track_bar saw, or null
/// when it threw Error{kNothingToTrack}. Gives nothing where colour shows the disc no better; most
/// clips in which the disc is not coloured are given up at its first sighting.
///
/// Accuracy  colours are stored at half the size, so an edge is about twice as uncertain as a
///           clear one of luma; the intervals follow from the rim's own scatter.
/// Cost      that of track_bar once more.
[[nodiscard]] std::optional<TrackedBar> track_by_colour(ClipReader& clip,
                                                        const TrackingOptions& options,
                                                        const DiscTrack* by_brightness,
                                                        const Progress& progress = {});

}  // namespace kinetics
