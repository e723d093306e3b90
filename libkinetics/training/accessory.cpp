#include "libkinetics/training/accessory.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace kinetics {
namespace {

using std::chrono::days;

int times_for_share(int times, double share) {
  return std::max(1, static_cast<int>(std::lround(times * share)));
}

void add_day(AccessoryWeek& week,
             const AccessoryPlan& plan,
             std::optional<int> weekday,
             DayKind kind,
             double share,
             CalendarDay monday) {
  if (!weekday) return;
  AccessorySession session{.day = monday + days{*weekday},
                           .name = plan.name,
                           .kind = kind,
                           .load_kg = plan.load_kg,
                           .distance_m = plan.distance_m,
                           .times = times_for_share(plan.times, share)};
  session.share = static_cast<double>(session.times) / plan.times;
  week.sessions.push_back(std::move(session));
}

void count_work(AccessoryWeek& week) {
  week.work_kg_m = 0.0;
  for (AccessorySession& s : week.sessions) {
    s.work_kg_m = load_distance_kg_m(s.load_kg, s.distance_m, s.times);
    week.work_kg_m += s.work_kg_m;
  }
}

double one_trip(const AccessorySession& session) {
  return session.load_kg * session.distance_m;
}

/// The piece that a trip is to be taken off: most work, and more than one trip left.
AccessorySession* most_work(AccessoryWeek& week) {
  AccessorySession* found = nullptr;
  for (AccessorySession& s : week.sessions) {
    if (s.times > 1 && (found == nullptr || s.work_kg_m > found->work_kg_m)) found = &s;
  }
  return found;
}

/// The piece that a trip is to be added to: least work, and short of twice a heavy day's.
AccessorySession* least_work(AccessoryWeek& week) {
  constexpr double kMostShare = 2.0;
  AccessorySession* found = nullptr;
  for (AccessorySession& s : week.sessions) {
    if (s.share < kMostShare && (found == nullptr || s.work_kg_m < found->work_kg_m)) found = &s;
  }
  return found;
}

void change_times(AccessorySession& session, int by) {
  session.share *= static_cast<double>(session.times + by) / session.times;
  session.times += by;
}

void keep_within(AccessoryWeek& week, const FromTo& band, bool cut) {
  const double planned = week.work_kg_m;
  while (week.work_kg_m > band.most) {
    AccessorySession* const from = most_work(week);
    if (from == nullptr) break;
    change_times(*from, -1);
    count_work(week);
  }
  while (!cut && week.work_kg_m < band.least) {
    AccessorySession* const to = least_work(week);
    if (to == nullptr || week.work_kg_m + one_trip(*to) > band.most) break;
    change_times(*to, +1);
    count_work(week);
  }
  const bool within = week.work_kg_m <= band.most && (cut || week.work_kg_m >= band.least);
  if (within && week.work_kg_m == planned) return;
  std::string text = fmt::format(
      "The week's accessory work as planned is {:.0f} kg m, outside the "
      "band of {:.0f} to {:.0f}: ",
      planned,
      band.least,
      band.most);
  text += within ? fmt::format("trips were changed to make it {:.0f}.", week.work_kg_m)
                 : fmt::format(
                       "whole trips bring it to {:.0f} at best. Change load, distance or "
                       "band.",
                       week.work_kg_m);
  week.notes.push_back({within ? NoteKind::kDecision : NoteKind::kCaution, std::move(text)});
}

}  // namespace

double load_distance_kg_m(double load_kg, double distance_m, int times) {
  return load_kg * distance_m * times;
}

AccessoryWeek accessory_week(const std::vector<AccessoryPlan>& plans,
                             const std::optional<FromTo>& band_kg_m,
                             CalendarDay monday,
                             double left) {
  AccessoryWeek week;
  for (const AccessoryPlan& plan : plans) {
    add_day(week, plan, plan.heavy_weekday, DayKind::kHeavy, left, monday);
    add_day(week, plan, plan.medium_weekday, DayKind::kMedium, left * plan.medium_share, monday);
    add_day(week, plan, plan.light_weekday, DayKind::kLight, left * plan.light_share, monday);
  }
  std::stable_sort(week.sessions.begin(), week.sessions.end(), [](const auto& a, const auto& b) {
    return a.day < b.day;
  });
  count_work(week);
  if (band_kg_m && !week.sessions.empty()) keep_within(week, *band_kg_m, left < 1.0);
  return week;
}

std::string_view in_words(DayKind kind) {
  switch (kind) {
    case DayKind::kHeavy:
      return "heavy";
    case DayKind::kMedium:
      return "medium";
    case DayKind::kLight:
      return "light";
  }
  return "heavy";
}

}  // namespace kinetics
