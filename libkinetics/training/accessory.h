#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/core/weekday.h"
#include "libkinetics/roster/training_plan.h"

/// Drags, carries and other accessory work, counted as load × distance, over heavy, medium and
/// light days.

namespace kinetics {

/// Load times the way it is moved, kg m: for comparing one day's work with another's, not a
/// physical work in joules.
[[nodiscard]] double load_distance_kg_m(double load_kg, double distance_m, int times);

struct AccessorySession {
  CalendarDay day = {};
  std::string name;
  DayKind kind = DayKind::kHeavy;
  double load_kg = 0.0;
  double distance_m = 0.0;
  int times = 0;
  double work_kg_m = 0.0;
  double share = 1.0;  ///< of the usual heavy day's work, after rounding to whole trips
  bool operator==(const AccessorySession&) const = default;
};

struct AccessoryWeek {
  std::vector<AccessorySession> sessions;  ///< by day, then as in the plan
  double work_kg_m = 0.0;                  ///< all of it
  Notes notes;                             ///< what was changed to keep within the band, and why
};

/// The week that begins on `monday`.
///
/// Shares  medium and light days are the heavy day's load with fewer trips, to the nearest trip,
/// one
///         at least. `left` is what remains of all work (half in the week before a meet: common
///         practice, no source).
/// Band    when the week's work lies outside the band, trips are taken off the piece of most work,
///         or added to the piece of least, one by one until it lies within; no piece grows beyond
///         twice its heavy day. A band that cannot be met so is told. Work that was cut before a
///         meet is held to the upper end only.
[[nodiscard]] AccessoryWeek accessory_week(const std::vector<AccessoryPlan>& plans,
                                           const std::optional<FromTo>& band_kg_m,
                                           CalendarDay monday,
                                           double left = 1.0);

/// "heavy", "medium", "light".
[[nodiscard]] std::string_view in_words(DayKind kind);

}  // namespace kinetics
