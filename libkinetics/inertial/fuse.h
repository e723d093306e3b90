#pragma once

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"
#include "libkinetics/inertial/estimate_log.h"
#include "libkinetics/kinematics/motion.h"
#include "libkinetics/sensor/sensor_log.h"
#include "libkinetics/tracking/bar_path.h"

/// One motion from a clip and a sensor's log of the same set: the clip kills the drift, the log
/// fills what was hidden and sharpens what is quick.

namespace kinetics {

struct FuseOptions {
  StrapdownOptions log;
  MotionOptions clip;
  /// Least correlation of the two velocities, 0 to 1, at which they count as one set.
  /// Two sets of one lift at one cadence have been seen to reach 0.936; a pair keeps above 0.99.
  double least_agreement = 0.94;
  /// How far the two clocks may run apart (1 sigma), as a fraction. Quartz keeps within 1e-4.
  double skew_sigma = 1e-4;
};

/// How the two clocks stand: clip time = offset_s + log time · (1 + skew).
struct ClockFit {
  Measured offset_s;
  Measured skew;
  double agreement = 0.0;  ///< correlation of the two velocities where both are known
};

struct FusedMotion {
  /// One sample per frame, at the clip's times, as estimate_motion gives; `drift` filled.
  Motion motion;
  ClockFit clock;
  LogFacts facts;
  /// How much the log's accelerations had to be scaled, and the clip's lengths: 1 ± sigma.
  Measured accel_scale;
  Measured length_scale;
  /// How far the clip's heights lie from the estimate, in their standard errors (root mean square).
  double sightings_off = 0.0;
  Notes notes;
};

/// Estimates offset and skew of the two clocks, then the motion from both.
///
/// Method  Coarse offset where the two velocities correlate best; then one smoother over the log's
///         accelerations and the clip's heights with offset, skew, scales and readout time among
///         the unknowns, relinearised until they stand still.
/// Errors  Error{kUnreadable} when the two do not agree on the motion (another set, another bar),
///         overlap too little, or nothing moves where they do; and as estimate_motion and
///         estimate_log_motion.
[[nodiscard]] FusedMotion fuse(const BarPath& path,
                               const SensorLog& log,
                               const FuseOptions& options = {});

}  // namespace kinetics
