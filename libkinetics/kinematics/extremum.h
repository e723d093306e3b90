#pragma once

#include <vector>

#include "libkinetics/kinematics/motion.h"

/// The highest and lowest velocities of a phase, which noise would otherwise exaggerate.
///
/// Internal to the room.

namespace kinetics {

/// Largest error near an instant that neighbouring sightings share, so that no smoothing removes
/// it, and how long such an error lasts: over this time it shows as a velocity.
[[nodiscard]] double lasting_sigma(const Motion& motion, double t_s);
inline constexpr double kLasting_s = 0.10;

/// Adds to a velocity's own error what all velocities of the clip share: the scale, and an unknown
/// readout time, which stretches time by shutter · velocity.
[[nodiscard]] double with_shared(const Motion& motion, double own_sigma, double velocity);

/// States at `steps` + 1 even instants.
[[nodiscard]] std::vector<MotionSample> sweep(const Motion& motion,
                                              double from_s,
                                              double to_s,
                                              int steps);

struct Extremum {
  double t_s = 0.0;
  double velocity_mps = 0.0;  ///< freed of the noise's pull
  double sigma_mps = 0.0;     ///< without what all velocities of the clip share
  double t_sigma_s = 0.0;
  double curvature_mps3 = 0.0;  ///< how fast the velocity falls off to both sides, positive
  double noise_mps = 0.0;       ///< of the velocity, let through by the smoother
};

/// A local maximum (`direction` 1) or minimum (-1) of the velocity at `t_s`, within a phase.
///
/// The largest of noisy velocities is biased upwards: the noise's slope moves the maximum to where
/// the noise is high, by its variance over twice the curvature on average. That is taken off.
[[nodiscard]] Extremum extremum_at(
    const Motion& motion, double t_s, int direction, double from_s, double to_s);

}  // namespace kinetics
