#pragma once

#include <cstdint>

/// Time as a container states it: whole ticks of a rational time base.

namespace kinetics {

/// Length of one tick, numerator / denominator seconds. Both positive.
struct TimeBase {
  std::int32_t num = 1;
  std::int32_t den = 1;
  bool operator==(const TimeBase&) const = default;
};

/// An instant on a clip's own clock. Subtract ticks first, then make seconds: a phone's first stamp
/// can be hours into its clock, where double seconds have lost their microseconds.
struct MediaTime {
  std::int64_t ticks = 0;
  TimeBase base;
};

/// Seconds from `from` to `to`. Both must share one time base.
[[nodiscard]] constexpr double seconds_between(MediaTime from, MediaTime to) {
  return static_cast<double>(to.ticks - from.ticks) * to.base.num / to.base.den;
}

}  // namespace kinetics
