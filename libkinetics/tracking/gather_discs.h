#pragma once

#include <vector>

#include "libkinetics/core/media_time.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/track_bar.h"
#include "libkinetics/tracking/uprights.h"

/// The one pass over the clip: finds and follows every round thing that may be the disc. Internal.

namespace kinetics {

/// Everything that is gathered in one pass over the clip.
struct Gathered {
  std::vector<DiscFollower> discs;
  std::vector<double> times_s;
  Uprights uprights;
  TimeBase tick;
  double unchanged_share = 0.0;  ///< of the pixels, from picture to picture
  bool camera_seen = true;
};

/// Reads the clip to its end. Throws Error{kNothingToTrack} when a seed points at nothing round.
[[nodiscard]] Gathered gather_discs(ClipReader& clip,
                                    const TrackingOptions& options,
                                    const Progress& progress);

}  // namespace kinetics
