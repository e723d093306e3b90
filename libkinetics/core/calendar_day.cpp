#include "libkinetics/core/calendar_day.h"

#include <array>
#include <cctype>
#include <cstddef>

#include <fmt/format.h>

namespace kinetics {
namespace {

constexpr std::array<std::string_view, 7> kWeekdays{
    "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"};
constexpr std::array<std::string_view, 12> kMonths{
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
constexpr int kFirstYear = 1900;
constexpr int kLastYear = 2999;
constexpr std::size_t kShortName = 3;

/// All digits, or nothing.
std::optional<int> whole_in(std::string_view digits) {
  int value = 0;
  for (const char c : digits) {
    if (c < '0' || c > '9') return std::nullopt;
    value = 10 * value + (c - '0');
  }
  return value;
}

bool same_letters(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const auto lower = [](char c) { return std::tolower(static_cast<unsigned char>(c)); };
    if (lower(a[i]) != lower(b[i])) return false;
  }
  return true;
}

}  // namespace

std::optional<CalendarDay> day_from_text(std::string_view text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  const auto year = whole_in(text.substr(0, 4));
  const auto month = whole_in(text.substr(5, 2));
  const auto day = whole_in(text.substr(8, 2));
  if (!year || !month || !day || *year < kFirstYear || *year > kLastYear) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year{*year},
                                         std::chrono::month{static_cast<unsigned>(*month)},
                                         std::chrono::day{static_cast<unsigned>(*day)}};
  if (!date.ok()) return std::nullopt;
  return CalendarDay{date};
}

std::string to_text(CalendarDay day) {
  const std::chrono::year_month_day date{day};
  return fmt::format("{:04}-{:02}-{:02}",
                     static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()));
}

int weekday_number(CalendarDay day) {
  return static_cast<int>(std::chrono::weekday{day}.iso_encoding()) - 1;
}

std::string_view weekday_name(CalendarDay day) {
  return kWeekdays.at(static_cast<std::size_t>(weekday_number(day)));
}

std::string day_in_words(CalendarDay day) {
  const std::chrono::year_month_day date{day};
  return fmt::format("{} {} {} {}",
                     weekday_name(day).substr(0, kShortName),
                     static_cast<unsigned>(date.day()),
                     kMonths.at(static_cast<unsigned>(date.month()) - 1U),
                     static_cast<int>(date.year()));
}

std::optional<int> weekday_from_text(std::string_view name) {
  for (std::size_t i = 0; i < kWeekdays.size(); ++i) {
    if (same_letters(name, kWeekdays[i]) ||
        same_letters(name, kWeekdays[i].substr(0, kShortName))) {
      return static_cast<int>(i);
    }
  }
  return std::nullopt;
}

}  // namespace kinetics
