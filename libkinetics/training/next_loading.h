#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/note.h"
#include "libkinetics/loading/plan_discs.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/training/accessory.h"
#include "libkinetics/training/adjust.h"
#include "libkinetics/training/lifted_session.h"
#include "libkinetics/training/rotation.h"
#include "libkinetics/training/volume.h"
#include "libkinetics/training/wave.h"

/// What goes on the bar next time: for every lifter in the plan the load, the discs, chains and
/// bands, and the velocity to expect.

namespace kinetics {

/// One lifter's next loading.
struct NextLoading {
  std::string lifter;
  WaveSession session;
  double best_single_kg = 0.0;
  double wave_kg = 0.0;  ///< straight weight by the wave alone, before discs
  Adjustment adjustment;
  double wanted_kg = 0.0;  ///< straight weight with the adjustment, before discs
  DiscChoice hung;         ///< what the club's discs make of it: discs of one side, and the total
  bool exact = true;       ///< the discs make just what is wanted
  bool collars = false;    ///< whether two are on the bar
  PlannedSet set;          ///< bar, chains, bands, heights and limits; plan.stated_load_kg is hung
  std::optional<double> bottom_kg;  ///< straight weight that would weigh as much at the bottom,
  std::optional<double> mean_kg;    ///< on average over the lift,
  std::optional<double> top_kg;     ///< and locked out
  Measured expected_mps;            ///< session mean; its sigma counts the day's usual change too
  Notes notes;
};

/// One lift on one day.
struct LiftDay {
  CalendarDay day = {};
  std::string lift;
  WaveSession session;  ///< what the wave asks of all
  int weeks = 1;        ///< of a wave
  std::string meet;     ///< its name, when there is one
  std::optional<int> rest_s;
  std::vector<NextLoading> loadings;  ///< lightest bar first, which saves changing discs
  Notes notes;
};

/// The next day of each lift, and the week's other work.
struct NextPlan {
  std::vector<LiftDay> days;     ///< by day; empty when all waves are over
  CalendarDay week_begins = {};  ///< the Monday of the first day
  std::vector<SpecialSession> specials;
  AccessoryWeek accessories;
  std::string rule;
  Notes notes;
};

struct NextOptions {
  std::optional<CalendarDay> day = std::nullopt;   ///< this one instead of the next
  std::optional<std::string> lift = std::nullopt;  ///< this one only
};

/// What was to be expected by all that was known before a day.
using ExpectationAsOf = std::function<VelocityExpectation(CalendarDay before)>;

/// Plans the next loadings.
///
/// Judged  past sessions are held against what was expected before their wave began, so that a wave
///         is not measured with itself; the velocity to come against all that is known.
/// Next    of each lift the first session of its wave after the last day on which anyone lifted it;
///         without any, the first of all.
/// Load    share of the best single, as straight weight, mean or at the top (PercentOf); moved as
///         adjust() says; then the nearest total that the club's discs make, the lighter of two.
///         What stands between the load of a past session and the wave's is rounded to whole steps
///         of the rule, so that rounding to discs is not taken for a move.
/// Errors  Error{kUnreadable} naming plan and line: a lift, lifter, bar, chain or band that the
///         roster does not hold. Error{kUsage} when nothing is planned on the day asked for.
///         Without a best single a lifter is left out with a note.
[[nodiscard]] NextPlan next_plan(const TrainingPlan& plan,
                                 const Roster& roster,
                                 const std::vector<LiftedSet>& history,
                                 const ExpectationAsOf& expectation,
                                 const NextOptions& options = {});

/// "cambered bar, box 38 cm, 2 x heavy chain": what to set up besides discs.
[[nodiscard]] std::string set_up_in_words(const NextLoading& loading);

}  // namespace kinetics
