#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

/// Days of the calendar as they stand in files: ISO 8601, "2031-03-07", Gregorian.

namespace kinetics {

/// The day written as YYYY-MM-DD; nothing for anything else or a day that no month has.
[[nodiscard]] std::optional<std::chrono::sys_days> day_in(std::string_view iso);

[[nodiscard]] std::string in_iso(std::chrono::sys_days day);

/// The day on which this instant fell where this computer is, by its time zone.
[[nodiscard]] std::string local_day(std::int64_t unix_s);

/// The instant of an ISO 8601 date and time with "Z" or an offset ("2031-03-07T17:05:00+01:00"), in
/// seconds since 1970, fractions cut off; nothing for anything else.
[[nodiscard]] std::optional<std::int64_t> unix_seconds_in(std::string_view iso);

/// How far the clock of such a text is ahead of UTC, s; nothing when it is UTC's own ("Z"), which
/// does not tell the zone.
[[nodiscard]] std::optional<std::int64_t> zone_told_in(std::string_view iso);

/// This moment in UTC, "2031-03-07T16:05:00Z".
[[nodiscard]] std::string now_in_iso();

}  // namespace kinetics
