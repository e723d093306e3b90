#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "libkinetics/core/calendar.h"

/// Days of the week, and days in words.

namespace kinetics {

/// Whole days; subtract two and get std::chrono::days, add std::chrono::days{7} and get a week
/// later.
using CalendarDay = std::chrono::sys_days;

/// "Friday".
[[nodiscard]] std::string_view weekday_name(CalendarDay day);

/// "Fri 7 Mar 2031", for a person.
[[nodiscard]] std::string day_in_words(CalendarDay day);

/// 0 for Monday to 6 for Sunday.
[[nodiscard]] int weekday_number(CalendarDay day);

/// The same from its English name in any case, or its first three letters.
[[nodiscard]] std::optional<int> weekday_from_text(std::string_view name);

}  // namespace kinetics
