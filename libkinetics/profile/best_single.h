#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "libkinetics/profile/line.h"

/// How fast the bar moves in a lifter's best single, and what that says of the best single today.

namespace kinetics {

struct Profile;
struct LifterLift;

enum class BestVelocitySource {
  kRoster,        ///< entered by the coach
  kHeavySingles,  ///< measured: single reps near the best single, moved to it along the line
  kCommon,        ///< a figure published for lifters in general, not this one's
};

[[nodiscard]] std::string_view in_words(BestVelocitySource source);

struct BestVelocity {
  BestVelocitySource source = BestVelocitySource::kRoster;
  double velocity_mps = 0.0;
  double sigma_mps = 0.0;
  int singles = 0;  ///< that were measured
};

struct BestSingle {
  std::optional<double> entered_kg;  ///< from the roster
  std::optional<BestVelocity> velocity;
  /// Where the line comes down to that velocity, with Fieller's interval of the line. An estimate:
  /// no reason to attempt a weight.
  std::optional<Worked> estimate_kg;
  std::optional<Interval> one_day_kg;  ///< the same for one set on one day
  bool beyond_lifted = false;          ///< the estimate is heavier than every load lifted
  std::string missing;                 ///< why there is no estimate
};

/// Works it out from the profile's line; the roster's entry may be null.
///
/// Velocity  the roster's; else singles of 90 % of the best single and more; else, for squat, bench
///           press and deadlift, a published one, which the source says.
/// Source    general thresholds: bench press 0.17 m/s (Isokinet Exerc Sci 2021, doi
///           10.3233/IES-202247), back squat 0.30 m/s (Chen et al., J Strength Cond Res 2025;
///           39:e530-e537), deadlift 0.15 m/s (common practice, studies disagree). They scatter by
///           some 0.05 m/s from lifter to lifter (F. Conceição et al., J Sports Sci 2016; 34).
[[nodiscard]] BestSingle best_single(const Profile& profile, const LifterLift* entry);

/// What must stand beside every estimate.
[[nodiscard]] std::string best_single_caution(const BestSingle& best);

}  // namespace kinetics
