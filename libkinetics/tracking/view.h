#pragma once

#include <optional>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/bar_path.h"
#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/track_bar.h"
#include "libkinetics/tracking/uprights.h"

/// From pixels to metres: the disc itself is the ruler. Internal.
///
/// The rim is a circle of known size in the vertical plane the bar moves in. Its picture, an
/// ellipse, fixes the affine map between that plane and the picture at the place of the disc, but
/// for a rotation about the disc's axis; the plumb direction fixes that. So heights are right for a
/// camera off square (yaw), tilted and rolled, near or far. How the ruler changes over the picture
/// (perspective, lens) is fitted to all frames of the clip, so that its noise averages out.
/// Source  exact ellipse of a disc seen off square: T. Matsuoka, S. Maruyama, ISPRS Annals
///         III-5:19–26, 2016.

namespace kinetics {

struct ViewResult {
  BarPath path;
  double px_per_m = 0.0;  ///< along the plumb, median
  double roll_rad = 0.0;
  double off_square_rad = 0.0;      ///< angle between the view and the bar, from the ellipse
  std::optional<double> readout_s;  ///< used, given or measured
  Notes notes;
};

/// `times_s` holds each frame's time; `glimpses` the disc, frame by frame (frames may be missing).
/// `bar_to_right` is where the bar points to, away from the camera, in picture heights right of the
/// middle; 0 when nothing is known.
[[nodiscard]] ViewResult path_in_gym(const std::vector<Glimpse>& glimpses,
                                     const std::vector<double>& times_s,
                                     const ClipInfo& clip,
                                     const Uprights& uprights,
                                     double rim_factor,
                                     const TrackingOptions& options,
                                     double bar_to_right = 0.0);

}  // namespace kinetics
