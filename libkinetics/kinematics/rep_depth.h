#pragma once

#include "libkinetics/core/measured.h"

/// What a repetition tells beyond its velocities: plain numbers, each with its interval or the
/// reason why there is none. force.h, sticking.h and rep_shape.h fill them in.

namespace kinetics {

/// What the lifter did to the bar. Forces are the bar's: the lifter's own mass is not counted.
struct RepForces {
  /// Straight weight that would weigh as much where the rise begins, on average over its height,
  /// and where it ends.
  Measured bottom_load_kg;
  Measured mean_load_kg;
  Measured top_load_kg;
  Measured mean_force_n;  ///< over the time of the concentric phase
  Measured peak_force_n;
  Measured propulsive_force_n;  ///< mean over the propulsive phase (see force.h)
  Measured mean_power_w;        ///< work over the time of the concentric phase
  Measured peak_power_w;
  Measured propulsive_power_w;
  Measured work_j;                 ///< over the concentric phase
  Measured impulse_ns;             ///< force over time, likewise
  Measured propulsive_impulse_ns;  ///< over the propulsive phase
};

/// The three events of a sticking region. Not applicable when the bar had none; within noise when
/// a dip was seen that noise may have made.
struct RepSticking {
  Measured first_peak_velocity_mps;
  Measured sticking_velocity_mps;  ///< the minimum after the first peak
  Measured second_peak_velocity_mps;
  Measured sticking_from_s;  ///< from the start of the rise to the first peak
  Measured sticking_low_s;   ///< to the minimum
  Measured second_peak_s;    ///< to the second peak
  /// Heights of the three as shares of the range of motion, 0 at the bottom, 1 at the top.
  Measured sticking_from_height;
  Measured sticking_low_height;
  Measured second_peak_height;
};

/// How the bar was carried.
struct RepShape {
  Measured propulsive_s;      ///< the part of the concentric phase that is propulsive (see force.h)
  Measured lockout_s;         ///< from the end of the rise until the bar next goes down
  Measured net_sideways_m;    ///< place at the end of the rise less that at its start; right is +
  Measured path_deviation_m;  ///< farthest from the straight line between the two
  Measured eccentric_peak_velocity_mps;  ///< fastest of the descent, negative
  /// Spread of the descent's velocity over its mean (standard deviation over time): 0 for a descent
  /// at one speed, 0.5 to 0.6 for one that starts and stops smoothly, more for a drop that is
  /// caught.
  Measured eccentric_variation;
  /// Largest there-and-back movement in the pause before the rise; see rocked().
  Measured pause_rock_m;
  Measured lockout_sway_m;  ///< highest less lowest place in the first second of the lockout
};

}  // namespace kinetics
