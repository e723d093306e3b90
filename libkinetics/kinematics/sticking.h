#pragma once

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"

/// The sticking region of a rise: where the bar slows although the lifter pushes on.

namespace kinetics {

struct StickingOptions {
  /// Shallower dips are not called a sticking region, m/s: our own choice, as slow as what is
  /// called standing still (RepOptions::threshold_mps). The literature states no least depth.
  double least_dip_mps = 0.02;
};

/// Finds the first velocity peak, the minimum after it and the second peak.
///
/// Method    Every dip of the smoothed velocity is weighed against the joint error of its two
///           ends; the smallest that noise may have made is taken out, until none is left. The
///           first peak, minimum and second peak that remain are the events.
/// Result    not applicable without a dip; within noise when there was one that noise may have
///           made; as the rep's peak velocity when that was not measured.
/// Accuracy  see DEVELOPERS.md; tests/kinematics/sticking_test.cpp and depth_coverage_test.cpp.
/// Source    the events: B. C. Elliott, G. J. Wilson, G. K. Kerr, Med Sci Sports Exerc 1989;
///           21:450-462; R. van den Tillaar, G. Ettema, J Sports Sci 2010; 28:529-535. That many
///           lifts have none: R. van den Tillaar, V. Andersen, A. H. Saeterbakken, J Hum Kinet
///           2014; 42:63-71.
[[nodiscard]] RepSticking rep_sticking(const Motion& motion,
                                       const Rep& rep,
                                       const StickingOptions& options = {});

}  // namespace kinetics
