#pragma once

#include <optional>
#include <vector>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/loading/bar_load.h"

/// Force, power, work and impulse on the bar, from its motion and the load at each height.
///
///     rep_forces(motion, rep, {.bar_kg = 20, .discs_kg = 80})     // a straight weight
///     rep_forces(motion, rep, with_chains, BarHeight{0.95})       // the height counts

namespace kinetics {

/// Where the floor is: how high the bar's centre line stands above it where the path's height is
/// zero.
struct BarHeight {
  double at_path_zero_m = 0.0;
  double sigma_m = 0.01;  ///< one standard error
};

/// Whether the load changes on the way up, so that it takes a BarHeight to know it.
[[nodiscard]] bool changes_with_height(const BarLoad& load);

/// Force and power at one instant, each with its standard error.
struct ForceSample {
  double t_s = 0.0;
  double height_m = 0.0;  ///< in the path's frame
  double velocity_mps = 0.0;
  double load_kg = 0.0;  ///< straight weight that would weigh the same
  double force_n = 0.0;
  double force_sigma_n = 0.0;
  double power_w = 0.0;
  double power_sigma_w = 0.0;
};

/// The rise of a rep in `steps` + 1 even instants. Without `height` the load is taken as it is with
/// the bar on the floor, which only a straight weight allows.
[[nodiscard]] std::vector<ForceSample> force_along(const Motion& motion,
                                                   const Rep& rep,
                                                   const BarLoad& load,
                                                   const std::optional<BarHeight>& height,
                                                   int steps);

/// Mean and peak force and power, work and impulse of one rise.
///
/// Method    The bar moves at the threshold at both ends of the rise, so work is the change of
///           potential energy between them and impulse the weight over time, with what rattling
///           links take: exact, and without the noise of an acceleration. Power is work over time.
///           Only the peaks and the end of the propulsive phase hang on the acceleration.
///           The propulsive phase ends when the bar first decelerates faster than gravity would
///           make it; without such an instant it is the whole rise.
/// Accuracy  see DEVELOPERS.md; tests/kinematics/force_test.cpp and depth_coverage_test.cpp.
/// Errors    none. Without `height`, numbers of a load that changes with it are not measured; what
///           was not measured of the rep is not measured here either.
/// Source    propulsive phase: L. Sánchez-Medina, C. E. Perez, J. J. González-Badillo, Int J Sports
///           Med 2010; 31:123-129 (the threshold of -9.81 m/s² from memory; -9.80665 here).
[[nodiscard]] RepForces rep_forces(const Motion& motion,
                                   const Rep& rep,
                                   const BarLoad& load,
                                   const std::optional<BarHeight>& height = std::nullopt,
                                   double threshold_mps = 0.02);

/// All of them not measured, for one reason.
[[nodiscard]] RepForces no_forces(Reason reason);

}  // namespace kinetics
