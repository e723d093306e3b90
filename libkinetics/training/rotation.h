#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/core/weekday.h"
#include "libkinetics/roster/training_plan.h"

/// Special exercises by turns: which one on which day.

namespace kinetics {

struct SpecialSession {
  CalendarDay day = {};
  std::string exercise;
  int turn_week = 1;   ///< of this exercise's turn, from 1
  int turn_weeks = 1;  ///< how long it lasts
  bool operator==(const SpecialSession&) const = default;
};

/// One session a week on the plan's weekday from `from` to `to`, both included. Each exercise keeps
/// its place for every_weeks weeks, then the next one takes over, and after the last the first.
/// Turns are counted from the plan's first day, else from `from`; before it there is none.
[[nodiscard]] std::vector<SpecialSession> special_sessions(const SpecialPlan& plan,
                                                           CalendarDay from,
                                                           CalendarDay to);

/// A remark when an exercise is kept for less than 2 or more than 3 weeks (common practice, no
/// source), or when there is only one to turn to.
[[nodiscard]] Notes rotation_notes(const SpecialPlan& plan);

}  // namespace kinetics
