#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/flags/finding.h"
#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/roster/thresholds.h"

/// Holds a set against the coach's thresholds, the lifter's own expectation and itself.

namespace kinetics {

/// What the reps are held against. What is empty is not judged.
struct FlagReferences {
  Measured expected_mps;          ///< mean velocity expected at this load, with standard error
  std::optional<double> load_kg;  ///< for the words: straight weight, or its equivalent
  std::optional<double> depth_m;  ///< way from the usual turning point up to the lockout
  double depth_sigma_m = 0.0;     ///< one standard error
  std::vector<Measured> force_n;  ///< mean force of each rep, or empty
  std::optional<double> best_single_kg;
};

/// One finding for each thing that is beyond its threshold or that cannot be told; in the order of
/// the reps, at most one of a kind for each rep.
///
/// A statement counts the standard errors of everything it rests on: a loss the two reps' own noise
/// (what they share cancels), an expectation the rep's full error and the expectation's, a bottom
/// the heights' errors at both turning points, which in a drifting log are those of the way apart.
/// Partial and failed reps are held against nothing but the zone.
///
/// - slowed: `Rep::velocity_loss` beyond `slowed_loss`; as find_reps flags it, so that every
///   "maybe slowed" there has its sentence here.
/// - below expected: mean velocity more than `below_expected_mps` under the expectation.
/// - too heavy, too light: mean velocity outside `zone`. Force goes into the words only.
/// - high bottom: the way to the lockout shorter than the reference by more than `high_bottom_m`;
///   without a reference the turning point higher than the middle one of the set's full reps, which
///   takes three reps, or than the lower one of two. Whether it lies beyond is left open ("cannot
///   tell") only when the error is below `high_bottom_m` itself; with more, nothing is said.
/// - uneven pause: differs from the middle pause of the set's other full reps by more than
///   `uneven_pause_s`; takes two reps.
/// - not measured: the reason is the evidence.
[[nodiscard]] Findings find_flags(const std::vector<Rep>& reps,
                                  const Motion& motion,
                                  const Thresholds& thresholds,
                                  const FlagReferences& references = {});

}  // namespace kinetics
