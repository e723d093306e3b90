#pragma once

#include <optional>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/bar_path.h"
#include "libkinetics/tracking/disc_track.h"

/// From a clip to the bar's path: finds the disc on the near end of the bar and follows its rim.

namespace kinetics {

/// Where the coach points at the disc when it is not found by itself.
struct DiscSeed {
  PixelPoint at;     ///< anywhere on the disc, as displayed
  double t_s = 0.0;  ///< when it is there
};

struct TrackingOptions {
  /// Outer diameter of the disc that is followed, m. Federation discs of 10 kg and more: 0.450 m.
  double disc_diameter_m = 0.450;
  /// 1 sigma of that diameter, m. Federation rules allow 1 mm either way: 95 % of discs that are
  /// evenly spread over that lie within 0.95 mm, which is 1.96 of these.
  double disc_diameter_sigma_m = 0.000485;
  std::optional<DiscSeed> seed;
  /// Camera roll, rad, positive when the picture must be turned clockwise to be upright. Left
  /// empty it is measured from upright edges in view.
  std::optional<double> camera_roll_rad;
  /// Time the sensor takes to read one picture, s. 0 for a global shutter. Left empty its effect
  /// is counted in the uncertainty.
  std::optional<double> readout_s;
};

struct TrackedBar {
  DiscTrack disc;
  BarPath path;
  Notes notes;
};

/// Follows the bar through the whole clip.
///
/// Errors  Error{kNothingToTrack} when no disc is in view, or when two move alike and nothing tells
///         which is meant (the message gives both places for a seed). Error{kUnreadable} from the
///         reader. Error{kUsage} for options out of range.
[[nodiscard]] TrackedBar track_bar(ClipReader& clip,
                                   const TrackingOptions& options = {},
                                   const Progress& progress = {});

}  // namespace kinetics
