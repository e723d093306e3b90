#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/kinematics/motion.h"

/// The ups and downs of a motion, and where a rise begins and ends.
///
/// Internal to the room.

namespace kinetics {

/// An instant at which the velocity passes the threshold.
struct Crossing {
  double t_s = 0.0;
  double sigma_s = 0.0;  ///< how far noise and the picture's lag may have shifted it
  bool known = false;    ///< false when it lies in a hole or outside the clip
};

/// A stretch of one-way travel that may hold short dips.
struct Travel {
  Crossing start;
  Crossing end;
  double gain_m = 0.0;  ///< height change from start to end; negative for a descent
};

/// One rise between two lows, with the descents around it.
struct Rise {
  Travel up;
  std::optional<Travel> down_before;  ///< the descent that leads to it
  double drop_before_m = 0.0;         ///< from the high before to the low; 0 without one
  double drop_after_m = 0.0;          ///< from its high to the next low; 0 without one
  double low_m = 0.0;                 ///< height where it starts
  double high_m = 0.0;
  double next_low_m = 0.0;          ///< height of the low after, or its own high
  double sideways_m = 0.0;          ///< horizontal span from start to end
  double descent_sideways_m = 0.0;  ///< the same over down_before
  double descent_peak_mps = 0.0;    ///< fastest downward speed before it, positive
  double stays_up_s = 0.0;          ///< from its end to the next descent or the clip's end
  double held_before_s = 0.0;       ///< from the descent's end or the clip's start to its start
  bool cut_at_start = false;        ///< the clip starts within the rise
  bool cut_at_end = false;
  bool last_of_clip = false;  ///< nothing comes down after it
};

/// Splits a motion at its highs and lows and gives every rise of `least_rise_m` or more.
///
/// A turn counts once the bar has come back by `turn_m` or more; less is a dip or sway.
[[nodiscard]] std::vector<Rise> find_rises(const Motion& motion,
                                           double threshold_mps,
                                           double least_rise_m);

}  // namespace kinetics
