#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

/// Days of the calendar, without a time of day or a zone: when a session is held.

namespace kinetics {

/// Whole days; subtract two and get std::chrono::days, add std::chrono::days{7} and get a week
/// later.
using CalendarDay = std::chrono::sys_days;

/// "2031-03-07" (ISO 8601, Gregorian calendar, years 1900 to 2999). Empty when it is no such day:
/// another form, or a day that the month does not have.
[[nodiscard]] std::optional<CalendarDay> day_from_text(std::string_view text);

/// "2031-03-07".
[[nodiscard]] std::string to_text(CalendarDay day);

/// "Friday".
[[nodiscard]] std::string_view weekday_name(CalendarDay day);

/// "Fri 7 Mar 2031", for a person.
[[nodiscard]] std::string day_in_words(CalendarDay day);

/// 0 for Monday to 6 for Sunday.
[[nodiscard]] int weekday_number(CalendarDay day);

/// The same from its English name in any case, or its first three letters.
[[nodiscard]] std::optional<int> weekday_from_text(std::string_view name);

}  // namespace kinetics
