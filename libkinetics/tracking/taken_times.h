#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/tracking/bar_path.h"

/// When the pictures of a clip were taken whose stamps do not tell. Internal.

namespace kinetics {

struct TakenTimes {
  std::vector<double> t_s;  ///< of every point of the path
  /// It shows once more what the one before showed, or nothing tells when it was taken.
  std::vector<bool> left_out;
  double source_hz = 0.0;   ///< pictures of so many a second were brought to another rate, or 0
  std::size_t missing = 0;  ///< pictures are missing and the others stamped as if none were
  /// Of the time a start or a stop takes, 1 sigma: a picture that is missing while the bar hardly
  /// moves does not show.
  double slow_sigma_s = 0.0;
};

/// By the bar's own motion. None where the stamps are as good, or nothing is explained.
///
/// Pictures brought to another rate: see source_clock; of a picture that is mixed of two the rim of
/// either is seen. Missing pictures: the bar goes on as fast as before, but farther on by just what
/// it goes in one picture; no jolt looks like that, nor something else taken for the disc.
[[nodiscard]] std::optional<TakenTimes> taken_times(const BarPath& path);

}  // namespace kinetics
