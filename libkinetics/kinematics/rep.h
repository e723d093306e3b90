#pragma once

#include <string_view>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"
#include "libkinetics/kinematics/rep_depth.h"

/// One repetition and what was measured of it. Times are real seconds from the clip's first frame.

namespace kinetics {

enum class RepKind {
  kFull,
  kPartial,  ///< rose clearly less than the set's other reps
  kFailed,   ///< the bar started up and came down again without a lockout
};

enum class FlagKind {
  kSlowed,       ///< slower than the set's fastest rep by more than the threshold, beyond doubt
  kMaybeSlowed,  ///< the drop is near the threshold; the measurement cannot decide
  kPartial,
  kFailed,
  kNotMeasured,  ///< the concentric phase could not be measured; the reason is in the numbers
};

/// The words used in tables and files: "slowed", "maybe-slowed", "partial", ...
[[nodiscard]] std::string_view in_words(FlagKind flag);
[[nodiscard]] std::string_view in_words(RepKind kind);

/// Forces, sticking region and shape are inherited so that each is a plain member of the rep.
/// find_reps fills in all but the forces, for which the load must be known: see force.h.
struct Rep : RepForces, RepSticking, RepShape {
  int set = 1;     ///< from 1
  int number = 1;  ///< within the set, from 1
  RepKind kind = RepKind::kFull;

  double start_s = 0.0;  ///< concentric phase, see reps.h
  double end_s = 0.0;
  double bottom_height_m = 0.0;  ///< at start and end, in the path's frame
  double top_height_m = 0.0;

  Measured mean_velocity_mps;
  Measured peak_velocity_mps;
  Measured propulsive_velocity_mps;  ///< mean until the bar first decelerates faster than gravity
  Measured rom_m;                    ///< height gained between start and end
  Measured concentric_s;
  Measured time_to_peak_s;          ///< from start to peak velocity
  Measured eccentric_s;             ///< duration of the descent before the rise
  Measured eccentric_velocity_mps;  ///< mean over the descent, negative
  Measured pause_s;                 ///< between the descent's end and the rise's start
  Measured sideways_m;              ///< widest horizontal span of the bar in the concentric phase
  Measured velocity_loss;           ///< 1 − mean velocity / that of the set's fastest rep, 0 to 1

  std::vector<FlagKind> flags;
};

struct SetTable {
  std::vector<Rep> reps;  ///< in time order
  Notes notes;
};

}  // namespace kinetics
