#pragma once

#include <functional>
#include <limits>
#include <vector>

#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/track_bar.h"

/// Follows the bar through a recording of any length: one stretch after another, each from one
/// rest of the bar to the next.

namespace kinetics {

/// A disc that went up and down during a stretch.
struct WorkedDisc {
  TrackedBar bar;
  double up_and_down_m = 0.0;  ///< sum of its ways up and down of 0.10 m and more
  double radius_px = 0.0;      ///< middle one
  PixelPoint where;            ///< middle place
};

/// Of a disc that was worked: what tells it from heads and hands later on.
struct WorkedSize {
  double up_and_down_m = 0.0;
  double radius_px = 0.0;
};

/// How the camera's view differs at the end of a stretch from that at its beginning.
struct CameraStep {
  double x_px = 0.0;  ///< of what was in the picture's middle
  double y_px = 0.0;
  double turn_rad = 0.0;
  double zoom = 1.0;
};

/// What was seen from one rest of the bar to the next. Times count from the recording's first
/// picture, also in the paths; heights count from where the stretch's own path began.
struct BarStretch {
  double from_s = 0.0;             ///< of its first picture
  double to_s = 0.0;               ///< of its last
  CameraStep before;               ///< since the last stretch, while nothing was followed
  CameraStep camera;               ///< from from_s to to_s
  bool stamps_repaired = false;    ///< of one of its pictures
  double passed_over_to_s = -1.0;  ///< as in WatchEnd
  /// Best first: the disc that track_bar would choose, and one that is as likely and moves at
  /// other times. Empty when none was worked.
  std::vector<WorkedDisc> discs;
};

/// The part of a recording to watch.
struct WatchSpan {
  double after_s = -1.0;                ///< pictures up to this time are passed over
  std::vector<WorkedSize> worked = {};  ///< all that was worked before
  /// Nothing that is taken up before is followed: it is the span's before.
  double begins_s = -1.0;
  /// What is taken up later is no stretch of this span.
  double until_s = std::numeric_limits<double>::infinity();
};

/// What was seen beside the stretches.
struct WatchEnd {
  /// How the camera moved since the last stretch, up to kKnownAfterS before until_s.
  CameraStep camera;
  /// What was under way when the span began was passed over up to then; a bar that was taken up
  /// before may have been missed.
  double passed_over_to_s = -1.0;
};

/// What lies still is known so long, s, after a watch began: of two spans that are watched apart
/// the later one goes so far back before it begins.
inline constexpr double kKnownAfterS = 10.0;

/// So long, s, the bar lies still in the rack or on the floor before a stretch ends: a bar that is
/// held is never so still. Common practice, no source.
inline constexpr double kBarAtRestS = 4.0;

/// Cuts the recording where the bar lies still for kBarAtRestS, or where nothing was worked for
/// a while, and hands over each stretch as soon as it is whole. Every stretch is looked at afresh,
/// so that a change of discs, a tripod that was moved or other light cost nothing but that a
/// stretch begins, and a run that begins at the end of a stretch goes on as if it had never ended.
/// Between stretches only key pictures are looked at, until a disc that lay still is gone from its
/// place or another comes: that is part of no stretch. Where key pictures are rarer than phones
/// write them (about one a second), all pictures are decoded, some of them twice, and one a second
/// is looked at. A recording in which one cannot jump is followed whole, at several times the cost.
///
/// Memory    of one stretch: some tens of MB at most, whatever the recording's length.
/// Errors    as ClipReader and track_bar, but for discs that are not there or not told apart.
///           Error{kUsage} for a seed, which can point into one stretch only.
WatchEnd watch_bar(ClipReader& clip,
                   const TrackingOptions& options,
                   WatchSpan span,
                   const std::function<void(BarStretch)>& on_stretch,
                   const Progress& progress = {});

}  // namespace kinetics
