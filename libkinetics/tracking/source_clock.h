#pragma once

#include <array>
#include <vector>

#include "libkinetics/tracking/bar_path.h"

/// The even clock of the camera behind a clip that a converter brought to another rate. Internal.

namespace kinetics {

/// Rates that cameras take at, give or take what their clocks are off by (29.97 for 30), Hz.
inline constexpr std::array<double, 6> kSourceRates_hz{24.0, 25.0, 30.0, 48.0, 50.0, 60.0};

/// A picture so far from the nearest moment, as a share of the time between two, may as well have
/// been taken at the other one: a converter that mixes neighbours leaves two rims in it.
inline constexpr double kEither = 0.15;

/// Pictures were taken at `at_s` and every 1 / `rate_hz` before and after.
struct SourceClock {
  double rate_hz = 0.0;
  double at_s = 0.0;

  /// The moment of its nearest to `t_s`.
  [[nodiscard]] double nearest_s(double t_s) const;
};

/// Clocks that may be behind the clip, of each rate the exact ones before another: at their
/// moments, each picture being moved to the nearest or, well between two, to either, a moving bar
/// goes far more smoothly than by the stamps. Not all of them need be true; a slow clock's moments
/// are a fast one's as well.
///
/// Rates looked through are those that cameras take at, give or take what their clocks are off by.
/// A second or so of movement is needed.
[[nodiscard]] std::vector<SourceClock> source_clocks(const BarPath& path);

}  // namespace kinetics
