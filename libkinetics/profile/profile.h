#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/history/lifted_set.h"
#include "libkinetics/profile/best_single.h"
#include "libkinetics/profile/line.h"
#include "libkinetics/profile/points.h"
#include "libkinetics/roster/roster.h"

/// Load-velocity profiles: each lifter's line for each variant of a lift, from many sessions.
///
///     const ClubProfiles club = fit_profiles(read_history("logbook").sets, &roster);
///     const Profile* p = find_profile(club, "Odalys Brandt", "box squat");
///     if (p && prediction_line(*p)) VelocityAt at = velocity_at(*prediction_line(*p), 92.5);

namespace kinetics {

enum class Pooling {
  kNone,  ///< every lifter's line from that lifter's sets alone
  kClub,  ///< lifters with few sets borrow from the others of the same lift and bar
};

struct ProfileOptions {
  LoadAxis axis = LoadAxis::kMean;
  RepChoice reps = RepChoice::kFastest;
  Pooling pooling = Pooling::kClub;
  /// Days after which a set counts half for where the line lies today; 0: never. Two waves of four
  /// weeks (common practice, no source). Shorter follows a lifter faster and is less sure.
  double half_life_days = 56.0;
  /// Sets further from the line than this many standard deviations are set aside (and shown). The
  /// deviation is robust and at least `least_scatter_mps`. 0: none is, and none is doubted.
  double outlier_deviations = 4.0;
  /// m/s; below what sets of one lifter usually scatter by (common practice, no source).
  double least_scatter_mps = 0.025;
  /// Set to set, taken when the sets cannot tell it: two loads, one set each, m/s. The velocity at
  /// one load repeats about so well in trained lifters (common practice, no source).
  double assumed_scatter_mps = 0.03;
};

/// Whether the rows show that velocity falls along a curve.
///
/// The curve is used when its AICc is lower than the line's by `kCurveGain` or more, six sets at
/// five different loads, the heaviest at least 1.4 times the lightest, are behind it, and it falls
/// over all of them.
inline constexpr double kCurveGain = 4.0;
struct CurveTest {
  double gain = 0.0;  ///< AICc of the line less that of the curve
  bool used = false;
};

/// How the velocity at one load changes over the weeks.
enum class DriftWord { kFaster, kSlower, kNoClearChange };
[[nodiscard]] std::string_view in_words(DriftWord word);
struct Drift {
  double mps_per_week = 0.0;
  Interval interval;  ///< 95 %
  double weeks = 0.0;
  int days = 0;
  DriftWord word = DriftWord::kNoClearChange;
};

/// How velocity falls with load for one lifter and variant.
struct Profile {
  LiftVariant variant;
  LoadAxis axis = LoadAxis::kMean;
  MassUnit unit = MassUnit::kKilogram;   ///< in which most of the sets were stated
  std::vector<ProfilePoint> points;      ///< outliers too
  std::optional<VelocityLine> line;      ///< straight; pooled when it could be
  std::optional<VelocityLine> own_line;  ///< from this lifter's sets alone
  std::optional<VelocityLine> curve;     ///< when the sets show one: see CurveTest
  std::optional<CurveTest> curve_test;   ///< empty: too few loads to ask
  std::string no_line;                   ///< why there is none, and what would mend it
  int pooled_lifters = 0;                ///< whose sets the line leans on; 0: not pooled
  bool assumed_scatter = false;          ///< the scatter is ProfileOptions::assumed_scatter_mps
  std::optional<double> best_single_kg;  ///< from the roster
  std::optional<VelocityBand> band;      ///< the coach's zone of velocities for this lift
  std::optional<ForceVelocity> force;    ///< of the straight line; on LoadAxis::kMean only
  BestSingle best;
  std::optional<Drift> drift;  ///< over three days and three weeks or more
  Notes notes;
};

/// The line or curve that predicts best; null when there is none.
[[nodiscard]] const VelocityLine* prediction_line(const Profile& profile);

struct ClubProfiles {
  std::vector<Profile> profiles;  ///< variants in the order in which they first come
  Notes notes;
};

/// Fits every variant that has points.
///
/// Accuracy  over 500 simulated clubs of 20 lifters 94.3 to 96.8 % of the 95 % intervals of line
///           and of one more set hold the truth, 94.5 to 96.2 % with one set in 20 wild; leaning on
///           the club halves the error of lifters with two or three sets
///           (tests/profile/club_coverage_test.cpp).
///
/// Errors  Error{kUsage} for options out of range. Sets that cannot be used never throw: they are
///         counted in a note.
[[nodiscard]] ClubProfiles fit_profiles(const std::vector<LiftedSet>& sets,
                                        const Roster* roster = nullptr,
                                        const ProfileOptions& options = {});

/// One profile by names as people type them; what is left empty lets all pass. Of several that fit,
/// the one with most points. Null when there is none.
[[nodiscard]] const Profile* find_profile(const ClubProfiles& club,
                                          const std::string& lifter,
                                          const std::string& lift,
                                          const std::string& bar = {},
                                          std::optional<double> box_height_m = std::nullopt);

}  // namespace kinetics
