#include "libkinetics/core/weekday.h"

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
constexpr std::size_t kShortName = 3;

bool same_letters(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const auto lower = [](char c) { return std::tolower(static_cast<unsigned char>(c)); };
    if (lower(a[i]) != lower(b[i])) return false;
  }
  return true;
}

}  // namespace

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
