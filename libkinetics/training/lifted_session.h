#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"
#include "libkinetics/core/weekday.h"
#include "libkinetics/history/lifted_set.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/roster/roster.h"

/// One lifter's work in one lift on one day: the sets at the day's main loading, taken together.

namespace kinetics {

/// Bar, box, chains and bands: what makes two loads comparable.
struct SetUp {
  std::string bar;
  std::optional<double> box_height_m;
  std::string accommodating;  ///< in words; empty for straight weight
};
[[nodiscard]] bool same_set_up(const SetUp& a, const SetUp& b);

struct LiftedSession {
  CalendarDay day = {};
  std::string lifter;
  std::string lift;
  SetUp set_up;
  double stated_load_kg = 0.0;  ///< bar, discs and collars
  double mean_load_kg = 0.0;    ///< with chains and bands, over the lift
  Measured velocity_mps;        ///< mean of the reps' mean velocities
  double rep_sigma_mps = 0.0;   ///< by how much one true rep differs from the next
  int sets = 0;
  int reps = 0;  ///< full ones, measured
  int not_measured = 0;
  int partial = 0;
  int failed = 0;
  int slowed_sets = 0;          ///< sets that certainly lost more than the limit
  std::optional<double> rom_m;  ///< mean of the measured ones
};

struct LiftedSessions {
  std::vector<LiftedSession> sessions;  ///< by day, then lifter and lift
  Notes notes;                          ///< sets without a day, which are left out
};

/// Gathers sets into sessions: of each lifter, lift and day the loading with the most reps, the
/// heavier of two.
///
/// Mean     reps are weighted by 1 / (their own variance + the variance between reps), the latter
/// by
///          the method of moments over the session. The standard error is of that weighted mean.
/// slowed   a set counts when its slowest full rep lost more than `slowed_loss` of its fastest with
///          certainty (flags/certainty.h).
[[nodiscard]] LiftedSessions lifted_sessions(const std::vector<LiftedSet>& sets,
                                             double slowed_loss = 0.20);

/// The velocity that is expected of a lifter at a mean load in a lift so set up, with one
/// standard error of the expectation; not measured when nothing is known.
using VelocityExpectation = std::function<Measured(
    const std::string& lifter, const std::string& lift, const SetUp& set_up, double mean_load_kg)>;

/// What the roster's `expected` entries say. The roster must outlive it.
[[nodiscard]] VelocityExpectation roster_expectation(const Roster& roster);

/// What the lifters' profiles say, within a tenth beyond the loads that were lifted; where there is
/// no line, what `otherwise` says. The line is of each set's fastest rep or its middle one, as the
/// profiles were made; its error is that of the line. The profiles must outlive it.
[[nodiscard]] VelocityExpectation profile_expectation(const ClubProfiles& profiles,
                                                      VelocityExpectation otherwise);

}  // namespace kinetics
