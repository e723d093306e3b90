#pragma once

#include <optional>

#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/track_bar.h"

/// Follows a disc another way where its edge hardly shows by brightness: by its colour (a blue disc
/// before a dark wall), or by faint edges made plain (a black one).

namespace kinetics {

enum class Look {
  kColour,    ///< how colourful each pixel is
  kContrast,  ///< how much it differs from what is around it, in terms of the noise
};

/// How much showed of what was followed.
struct DiscShown {
  double share_of_pictures = 0.0;  ///< in which it was seen
  double rim = 0.0;                ///< mean share of the rim in these
};
[[nodiscard]] DiscShown shown(const DiscTrack& disc);

/// Whether so little of the rim was seen that another look, by colour, is worth its time.
[[nodiscard]] bool poorly_seen(const DiscTrack& disc);

/// Whether so little of the rim was seen that what covers it may have been taken for it.
[[nodiscard]] bool half_covered(const DiscTrack& disc);

/// Whether so little was seen, or so seldom, that repetitions may be missing.
[[nodiscard]] bool hardly_seen(const DiscTrack& disc);

/// Whether it went farther in its own radii than any disc is lifted: it is the hub of one.
[[nodiscard]] bool seems_a_hub(const DiscTrack& disc);

/// As track_bar, by another look. `by_brightness` is what track_bar saw, or null when it threw
/// Error{kNothingToTrack}. Gives nothing where that look shows the disc no better; most clips in
/// which the disc is not coloured are given up at its first sighting when looked at by colour.
///
/// Accuracy  colours are stored at half the size, and faint edges are smoothed, so an edge is two
/// to
///           four times as uncertain as a clear one of luma; the intervals follow from the rim's
///           own scatter.
/// Cost      that of track_bar once more.
[[nodiscard]] std::optional<TrackedBar> track_by_look(Look look,
                                                      ClipReader& clip,
                                                      const TrackingOptions& options,
                                                      const DiscTrack* by_brightness,
                                                      const Progress& progress = {});

/// Of two looks at what is one disc by its size and way, the one to keep: by faint edges, or by
/// brightness where the two clearly differ in how far it went and brightness showed it in most
/// pictures. Which one errs is not known then: the kept one is less sure by as much, and says so.
[[nodiscard]] TrackedBar surer_of(TrackedBar by_brightness, TrackedBar by_contrast);

}  // namespace kinetics
