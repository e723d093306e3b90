#include "libkinetics/training/rotation.h"

#include <cstddef>

#include <fmt/format.h>

namespace kinetics {
namespace {

using std::chrono::days;
constexpr int kWeek = 7;

/// The first day on or after `day` that falls on this weekday.
CalendarDay next_weekday(CalendarDay day, int weekday) {
  return day + days{(weekday - weekday_number(day) + kWeek) % kWeek};
}

}  // namespace

std::vector<SpecialSession> special_sessions(const SpecialPlan& plan,
                                             CalendarDay from,
                                             CalendarDay to) {
  std::vector<SpecialSession> out;
  const CalendarDay first = next_weekday(plan.first_day.value_or(from), plan.weekday);
  CalendarDay day = first;
  for (int week = 0; day <= to; ++week, day += days{kWeek}) {
    if (day < from) continue;
    const auto turn = static_cast<std::size_t>(week / plan.every_weeks);
    out.push_back({.day = day,
                   .exercise = plan.exercises[turn % plan.exercises.size()],
                   .turn_week = 1 + week % plan.every_weeks,
                   .turn_weeks = plan.every_weeks});
  }
  return out;
}

Notes rotation_notes(const SpecialPlan& plan) {
  Notes out;
  constexpr int kLeastWeeks = 2;
  constexpr int kMostWeeks = 3;
  const std::string day(weekday_name(next_weekday(CalendarDay{}, plan.weekday)));
  if (plan.every_weeks < kLeastWeeks || plan.every_weeks > kMostWeeks) {
    out.push_back({NoteKind::kDecision,
                   fmt::format("{}'s special exercise changes every {} week{}; 2 or 3 weeks are "
                               "usual.",
                               day,
                               plan.every_weeks,
                               plan.every_weeks == 1 ? "" : "s")});
  }
  if (plan.exercises.size() == 1) {
    out.push_back({NoteKind::kDecision,
                   fmt::format("{} has one special exercise and nothing to change it with.", day)});
  }
  return out;
}

}  // namespace kinetics
