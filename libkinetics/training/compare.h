#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/core/weekday.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/lifted_session.h"

/// Whether the bar moves faster than before at the same load: session against session and wave
/// against wave, the team and each lifter.

namespace kinetics {

/// Days from one to another, both included.
struct CompareSpan {
  std::string name;  ///< "wave 2"
  CalendarDay from = {};
  CalendarDay to = {};
};

enum class ChangeWord { kFaster, kSlower, kNoClearChange };

/// "faster", "slower", "no clear change".
[[nodiscard]] std::string_view in_words(ChangeWord change);

struct CompareOptions {
  /// A session counts when the other span holds one of this lifter whose load differs by no more
  /// than this share. Wider uses more sessions and leans more on the load's effect being a line.
  double match_share = 0.10;
  /// Smallest change worth a word, m/s; without it 0.2 of the standard deviation between lifters.
  std::optional<double> worthwhile_mps = std::nullopt;
};

/// A difference of velocities at the same load, later less earlier.
struct VelocityChange {
  double difference_mps = 0.0;
  double half_width_mps = 0.0;  ///< of its 95 % interval
  double freedom = 0.0;         ///< degrees of freedom behind it
  ChangeWord change = ChangeWord::kNoClearChange;
};

struct LifterChange {
  std::string lifter;
  int sessions_before = 0;
  int sessions_after = 0;
  double load_kg = 0.0;  ///< both are compared at this mean load
  double before_mps = 0.0;
  double after_mps = 0.0;
  VelocityChange change;
};

/// One session as the comparison saw it.
struct ComparedSession {
  LiftedSession lifted;
  double at_load_mps = 0.0;  ///< velocity brought to the lifter's compared load
  bool after = false;        ///< belongs to the later span …
  bool before = false;  ///< … or to the earlier one; else it only told scatter and load effect
};

struct Comparison {
  std::string lift;
  CompareSpan before;
  CompareSpan after;
  VelocityChange team;                        ///< mean over the lifters
  std::vector<LifterChange> lifters;          ///< by name
  std::optional<double> slope_mps_per_tenth;  ///< what a tenth more load costs
  double typical_error_mps = 0.0;  ///< of one lifter's session mean, besides the day's effect
  double day_sigma_mps = 0.0;      ///< by which a whole day is faster or slower for all
  double between_sd_mps = 0.0;     ///< between lifters at their compared loads
  double worthwhile_mps = 0.0;
  std::vector<ComparedSession> sessions;  ///< by day
  Notes notes;
};

/// Compares two spans of one lift.
///
/// Model     session mean = lifter + slope × (load / the lifter's usual load − 1) + change of this
///           lifter from span to span + day + error. Days are random and shared by all who lifted
///           on them; the error's variance is one for all besides each mean's own, known one (that
///           of its reps), so that means count by their intervals. REML (day_model.h). One slope
///           for all, as loads are relative and near to each other. When a span is a single day no
///           change is fitted: the difference is held against the scatter of all sessions given.
/// Interval  Student's t. Degrees of freedom: of the days for the team, of days and sessions as
///           they weigh in for a lifter (Satterthwaite's combination).
/// Accuracy  without any change at most 6 % of statements say faster or slower, nominal 5 % (upper
///           95 % bound in each of six worlds, tests/training/compare_error_test.cpp).
/// Errors    Error{kUsage}: no lifter has sessions at like loads in both
///           spans; there are too few sessions
///           to tell scatter from change.
[[nodiscard]] Comparison compare(const std::vector<LiftedSession>& sessions,
                                 const std::string& lift,
                                 const CompareSpan& before,
                                 const CompareSpan& after,
                                 const CompareOptions& options = {});

/// The waves of a lift as the plan has them, those that hold a session.
[[nodiscard]] std::vector<CompareSpan> planned_waves(const TrainingPlan& plan,
                                                     const std::string& lift,
                                                     const std::vector<LiftedSession>& sessions);

/// The same without a plan: a new wave begins where the load falls by more than a twenty-fifth of
/// the lifters' usual one from one day to the next.
[[nodiscard]] std::vector<CompareSpan> lifted_waves(const std::string& lift,
                                                    const std::vector<LiftedSession>& sessions);

/// The days within a span on which the lift was done.
[[nodiscard]] std::vector<CalendarDay> days_in(const CompareSpan& span,
                                               const std::string& lift,
                                               const std::vector<LiftedSession>& sessions);

}  // namespace kinetics
