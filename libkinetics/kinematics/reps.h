#pragma once

#include <span>
#include <vector>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"

/// Finds the repetitions in a motion and measures each.

namespace kinetics {

struct RepOptions {
  /// Upward velocity at which the concentric phase begins and ends, m/s.
  double threshold_mps = 0.02;
  /// Least rise that can be a rep, m.
  double min_rise_m = 0.10;
  /// Rest between two reps from which on a new set is counted, s.
  double set_gap_s = 30.0;
  /// Share of the set's fastest mean velocity that may be lost before a rep is flagged, 0 to 1.
  double slowed_loss = 0.20;
};

[[nodiscard]] SetTable find_reps(const Motion& motion, const RepOptions& options = {});

/// Where a person says that a concentric phase begins and ends.
struct RepSpan {
  double start_s = 0.0;
  double end_s = 0.0;
};

/// Measures reps whose places are told instead of found: after a coach moved, split, merged, added
/// or left out some. Numbers them, and holds each against the others of its set, as find_reps does.
///
/// Shape     one rep a span, in time order; sets are parted by `set_gap_s` as ever.
/// Accuracy  an end that stands where find_reps would put it (within 0.1 ms) is taken over with all
///           that was known of it, so that untouched reps keep their numbers. A moved end is
///           taken as exact to half a sample to either side.
/// Errors    Error{kUsage} naming the time when a span ends before it begins, lies outside the
///           motion, overlaps the next one, or the bar does not rise in it.
[[nodiscard]] std::vector<Rep> measure_reps(const Motion& motion,
                                            std::span<const RepSpan> spans,
                                            const RepOptions& options = {});

}  // namespace kinetics
