#include "libkinetics/sensor/stamp_text.h"

#include <cctype>
#include <chrono>
#include <cstdint>

#include "libkinetics/sensor/cells.h"

namespace kinetics::sensor_detail {
namespace {

// A cursor over the text: each function takes what it knows and leaves the rest.
struct Cursor {
  std::string_view rest;

  [[nodiscard]] char peek(std::size_t at = 0) const { return at < rest.size() ? rest[at] : '\0'; }
  bool take(char c) {
    if (peek() != c) return false;
    rest.remove_prefix(1);
    return true;
  }
  // Up to `most` digits; the number of digits taken in `digits`.
  std::int64_t number(int most, int& digits) {
    std::int64_t value = 0;
    digits = 0;
    while (digits < most && peek() >= '0' && peek() <= '9') {
      value = value * 10 + (peek() - '0');
      rest.remove_prefix(1);
      ++digits;
    }
    return value;
  }
};

struct Date {
  std::int64_t year = 0;
  std::int64_t month = 0;
  std::int64_t day = 0;
  bool unclear = false;
};

std::optional<double> midnight_s(const Date& date) {
  if (date.year < 1970 || date.year > 2200) return std::nullopt;
  const std::chrono::year_month_day day{std::chrono::year(static_cast<int>(date.year)),
                                        std::chrono::month(static_cast<unsigned>(date.month)),
                                        std::chrono::day(static_cast<unsigned>(date.day))};
  if (!day.ok()) return std::nullopt;
  return 86400.0 * static_cast<double>(std::chrono::sys_days(day).time_since_epoch().count());
}

// 2026-11-25, 2026/11/25, 20261125, 25.11.2026, 11/25/2026.
std::optional<Date> take_date(Cursor& at) {
  Cursor from = at;
  int digits = 0;
  const std::int64_t first = from.number(8, digits);
  Date date;
  if (digits == 8) {
    date = {first / 10000, first / 100 % 100, first % 100, false};
    at = from;
    return date;
  }
  const char mark = from.peek();
  if (mark != '-' && mark != '/' && mark != '.') return std::nullopt;
  if (digits != 4 && digits != 1 && digits != 2) return std::nullopt;
  const bool year_first = digits == 4;
  from.take(mark);
  const std::int64_t second = from.number(2, digits);
  if (digits == 0 || !from.take(mark)) return std::nullopt;
  const std::int64_t third = from.number(year_first ? 2 : 4, digits);
  if (digits != (year_first ? 2 : 4) && !(year_first && digits == 1)) return std::nullopt;
  if (year_first) {
    date = {first, second, third, false};
  } else if (mark != '/' || first > 12) {
    date = {third, second, first, false};
  } else {
    date = {third, first, second, second <= 12 && first != second};
  }
  at = from;
  return date;
}

double fraction(Cursor& at, int& digits) {
  double value = 0.0;
  double place = 0.1;
  digits = 0;
  while (at.peek() >= '0' && at.peek() <= '9') {
    value += place * (at.peek() - '0');
    place *= 0.1;
    at.rest.remove_prefix(1);
    ++digits;
  }
  return value;
}

bool same_letters(std::string_view text, std::string_view low) {
  if (text.size() < low.size()) return false;
  for (std::size_t i = 0; i < low.size(); ++i) {
    if (std::tolower(static_cast<unsigned char>(text[i])) != low[i]) return false;
  }
  return true;
}

// hh:mm:ss.sss, hh:mm:ss:mmm, hh:mm, mm:ss.s, each with AM or PM behind it.
std::optional<double> take_clock(Cursor& at, int& fraction_digits) {
  int digits = 0;
  std::int64_t hours = at.number(3, digits);
  if (digits == 0 || !at.take(':')) return std::nullopt;
  std::int64_t minutes = at.number(2, digits);
  if (digits == 0) return std::nullopt;
  double seconds = 0.0;
  if (at.take(':')) {
    seconds = static_cast<double>(at.number(2, digits));
    if (digits == 0) return std::nullopt;
  } else if (at.peek() == '.' || at.peek() == ',') {
    seconds = static_cast<double>(minutes);  // mm:ss.s
    minutes = hours;
    hours = 0;
  }
  if (at.take('.') || at.take(',') || at.take(':')) {
    seconds += fraction(at, fraction_digits);
    if (fraction_digits == 0) return std::nullopt;
  }
  if (seconds >= 61.0 || (minutes >= 60 && hours > 0)) return std::nullopt;
  while (at.take(' ')) {
  }
  const bool pm = same_letters(at.rest, "pm");
  if (pm || same_letters(at.rest, "am")) {
    if (hours < 1 || hours > 12) return std::nullopt;
    hours = hours % 12 + (pm ? 12 : 0);
    at.rest.remove_prefix(2);
  }
  return static_cast<double>(hours * 3600 + minutes * 60) + seconds;
}

// Z, UTC, +01:00, -0530, +01. Seconds east of Greenwich.
std::optional<double> take_zone(Cursor& at) {
  while (at.take(' ')) {
  }
  if (same_letters(at.rest, "utc") || same_letters(at.rest, "gmt")) {
    at.rest.remove_prefix(3);
    return 0.0;
  }
  if (at.take('Z') || at.take('z')) return 0.0;
  const char sign = at.peek();
  if (sign != '+' && sign != '-') return std::nullopt;
  at.take(sign);
  int digits = 0;
  const std::int64_t hours = at.number(2, digits);
  if (digits == 0) return std::nullopt;
  at.take(':');
  const std::int64_t minutes = at.number(2, digits);
  const double east_s = static_cast<double>(hours * 3600 + minutes * 60);
  return sign == '-' ? -east_s : east_s;
}

}  // namespace

std::optional<Stamp> stamp_in(std::string_view text) {
  Cursor at{trimmed(text)};
  Stamp stamp;
  double date_s = 0.0;
  // Eight digits alone are a number like any other, not a date.
  if (const std::optional<Date> date = take_date(at)) {
    const std::optional<double> s = midnight_s(*date);
    if (!s) return std::nullopt;
    stamp.unclear_date = date->unclear;
    stamp.has_date = !date->unclear;
    if (stamp.has_date) date_s = *s;
    if (at.rest.empty()) {
      if (text.find_first_of("-/.") == std::string_view::npos) return std::nullopt;
      stamp.s = date_s;
      return stamp;
    }
    if (!at.take('T') && !at.take('t') && !at.take(' ') && !at.take('_')) return std::nullopt;
    while (at.take(' ')) {
    }
  }
  const std::optional<double> clock_s = take_clock(at, stamp.fraction_digits);
  if (!clock_s) return std::nullopt;
  stamp.has_clock = true;
  const std::optional<double> east_s = take_zone(at);
  if (!trimmed(at.rest).empty()) return std::nullopt;
  stamp.has_zone = east_s.has_value() && stamp.has_date;
  stamp.s = date_s + *clock_s - (stamp.has_date ? east_s.value_or(0.0) : 0.0);
  return stamp;
}

}  // namespace kinetics::sensor_detail
