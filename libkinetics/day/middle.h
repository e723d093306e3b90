#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

namespace kinetics::day_detail {

/// The median; nothing when there are no values.
[[nodiscard]] inline std::optional<double> middle(std::vector<double> values) {
  if (values.empty()) return std::nullopt;
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  if (values.size() % 2 == 1) return values[half];
  return 0.5 * (values[half - 1] + values[half]);
}

}  // namespace kinetics::day_detail
