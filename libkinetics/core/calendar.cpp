#include "libkinetics/core/calendar.h"

#include <charconv>
#include <ctime>
#include <system_error>

#include <fmt/chrono.h>
#include <fmt/format.h>

namespace kinetics {
namespace {

constexpr std::int64_t kSecondsInMinute = 60;
constexpr std::int64_t kSecondsInHour = 3600;
constexpr std::int64_t kSecondsInDay = 86400;
/// Lengths of "2031-03-07" and "2031-03-07T17:05:00".
constexpr std::size_t kDate = 10;
constexpr std::size_t kTime = 19;

// Exactly `digits` digits at `at`; nothing else.
std::optional<int> number_at(std::string_view text, std::size_t at, std::size_t digits) {
  if (at + digits > text.size()) return std::nullopt;
  int value = 0;
  const char* const first = text.data() + at;
  const char* const last = first + digits;
  if (*first < '0' || *first > '9') return std::nullopt;
  const auto [stop, failed] = std::from_chars(first, last, value);
  return failed == std::errc{} && stop == last ? std::optional(value) : std::nullopt;
}

/// "17:05:00" at the front, in seconds since midnight.
std::optional<std::int64_t> time_of_day(std::string_view text) {
  const auto hour = number_at(text, 0, 2);
  const auto minute = number_at(text, 3, 2);
  const auto second = number_at(text, 6, 2);
  if (!hour || !minute || !second || text[2] != ':' || text[5] != ':') return std::nullopt;
  if (*hour > 23 || *minute > 59 || *second > 60) return std::nullopt;
  return *hour * kSecondsInHour + *minute * kSecondsInMinute + *second;
}

/// "Z", "+01:00" or "+0100", in seconds east of Greenwich.
std::optional<std::int64_t> offset_of_zone(std::string_view zone) {
  if (zone == "Z") return 0;
  if (zone.empty() || (zone[0] != '+' && zone[0] != '-')) return std::nullopt;
  const bool with_colon = zone.size() == 6 && zone[3] == ':';
  if (!with_colon && zone.size() != 5) return std::nullopt;
  const auto hours = number_at(zone, 1, 2);
  const auto minutes = number_at(zone, with_colon ? 4 : 3, 2);
  if (!hours || !minutes || *hours > 14 || *minutes > 59) return std::nullopt;
  const std::int64_t east = *hours * kSecondsInHour + *minutes * kSecondsInMinute;
  return zone[0] == '-' ? -east : east;
}

/// What stands behind the seconds and their fraction; the text must be that long.
std::string_view zone_of(std::string_view iso) {
  std::string_view rest = iso.substr(kTime);
  if (rest.starts_with('.')) {
    const std::size_t zone = rest.find_first_not_of("0123456789", 1);
    rest.remove_prefix(zone == std::string_view::npos ? rest.size() : zone);
  }
  return rest;
}

}  // namespace

std::optional<std::chrono::sys_days> day_in(std::string_view iso) {
  constexpr std::size_t kLength = 10;
  if (iso.size() != kLength || iso[4] != '-' || iso[7] != '-') return std::nullopt;
  const auto year = number_at(iso, 0, 4);
  const auto month = number_at(iso, 5, 2);
  const auto day = number_at(iso, 8, 2);
  if (!year || !month || !day) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(*year),
                                         std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  return date.ok() ? std::optional(std::chrono::sys_days(date)) : std::nullopt;
}

std::string in_iso(std::chrono::sys_days day) {
  const std::chrono::year_month_day date(day);
  return fmt::format("{:04}-{:02}-{:02}",
                     static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()),
                     static_cast<unsigned>(date.day()));
}

std::string local_day(std::int64_t unix_s) {
  return fmt::format("{:%Y-%m-%d}", fmt::localtime(static_cast<std::time_t>(unix_s)));
}

std::optional<std::int64_t> unix_seconds_in(std::string_view iso) {
  if (iso.size() <= kTime || (iso[kDate] != 'T' && iso[kDate] != ' ')) return std::nullopt;
  const auto day = day_in(iso.substr(0, kDate));
  const auto time = time_of_day(iso.substr(kDate + 1, kTime - kDate - 1));
  const auto east = offset_of_zone(zone_of(iso));
  if (!day || !time || !east) return std::nullopt;
  return day->time_since_epoch().count() * kSecondsInDay + *time - *east;
}

std::optional<std::int64_t> zone_told_in(std::string_view iso) {
  if (!unix_seconds_in(iso) || iso.back() == 'Z') return std::nullopt;
  return offset_of_zone(zone_of(iso));
}

std::string now_in_iso() {
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr)));
}

}  // namespace kinetics
