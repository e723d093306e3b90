#pragma once

#include <optional>
#include <vector>

#include "libkinetics/core/weekday.h"
#include "libkinetics/roster/training_plan.h"

/// A wave's sessions on the calendar: which day, which share of the best single, how many sets.

namespace kinetics {

/// One session of one wave.
struct WaveSession {
  CalendarDay day = {};
  int wave = 1;        ///< from 1
  int week = 1;        ///< of the wave, from 1
  double share = 0.0;  ///< of the best single
  int sets = 0;
  int reps = 0;             ///< a set
  double work_share = 1.0;  ///< of the usual work at this load, after rounding to whole sets
  bool second_day = false;  ///< the lighter one of the week
  bool taper = false;       ///< cut before the meet
  WaveVariant variant = {};
  std::optional<int> days_to_meet = std::nullopt;  ///< when the meet is still to come
  bool operator==(const WaveSession&) const = default;
};

/// All sessions of a wave plan, by day.
///
/// Load    start_share, and step_share more each week; the next wave begins at reset_share.
/// Days    every_days apart, from first_day, or so that the last one lies last_days_before_meet
///         before the meet.
/// Taper   counting back from a meet the last sessions keep load and reps a set, and of the sets as
///         many as come nearest to the share that is to be left, one at least. Half in the last
///         session: common practice, no source.
/// Second  so many days later a session of the same load and fewer sets; none after the last
///         session before a meet.
/// Errors  none: a plan is checked when it is read.
[[nodiscard]] std::vector<WaveSession> wave_sessions(const WavePlan& plan,
                                                     const std::optional<Meet>& meet);

/// Sets that come nearest to a share of the work, one at least; half a set counts as one.
[[nodiscard]] int sets_for_share(int sets, double share);

/// Weight moved: sets × reps × load.
[[nodiscard]] double tonnage_kg(int sets, int reps, double load_kg);

}  // namespace kinetics
