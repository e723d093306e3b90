#pragma once

#include <vector>

#include "libkinetics/kinematics/white_jerk.h"

/// How restless the bar is, moment by moment, learnt from the sightings alone.
///
/// Internal to the room.

namespace kinetics {

/// Jerk density from one sighting to the next, and what it was chosen from.
struct JerkDensity {
  std::vector<double> psd_m2ps5;  ///< per interval; one fewer than sightings
  double typical_m2ps5 = 0.0;     ///< over the moving stretches
};

/// One density for all sightings, by maximum likelihood; the variances are taken as they are.
[[nodiscard]] double likeliest_density(const std::vector<HeightSighting>& sightings);

/// A density that changes with time. A bar at rest, in a slow grind and at a sharp turn differ in
/// jerk density by a factor of a million; one number for all would blunt every start and stop, or
/// shake while the bar rests.
///
/// Method  A ladder of densities, each run forwards and backwards through the sightings; a hidden
///         Markov chain over the ladder weighs how well each foretold the sightings around every
///         instant. The two directions see a change late and early; the larger density counts, so
///         that a turn is never smoothed by the rest beside it.
[[nodiscard]] JerkDensity changing_density(const std::vector<HeightSighting>& sightings);

}  // namespace kinetics
