#pragma once

#include <optional>
#include <string_view>

/// Times written as dates and clock readings: ISO 8601 and what is in use beside it.

namespace kinetics::sensor_detail {

/// What a written time says.
struct Stamp {
  /// Seconds since 1970-01-01 UTC when `has_date`, else since midnight (or since the start).
  double s = 0.0;
  bool has_date = false;
  bool has_clock = false;     ///< false: a date alone
  bool has_zone = false;      ///< false: taken as UTC
  bool unclear_date = false;  ///< 3/4/2026: day and month could be either; `s` is of the day only
  int fraction_digits = 0;
};

/// Reads "2026-11-25T15:11:42.120+01:00", "2026/11/25 15:11:42,120", "25.11.2026 15:11:42.120",
/// "15:11:42.120", "3:11:42.120 PM", "11:42.5", "15:11:42:120", "2026-11-25". None when the text is
/// anything else, a plain number included.
[[nodiscard]] std::optional<Stamp> stamp_in(std::string_view text);

}  // namespace kinetics::sensor_detail
