#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

/// The middle value, which a few wild ones do not move. Internal.

namespace kinetics {

/// Of an even number, the upper of the two in the middle, so that it is a value that occurred; 0 of
/// none.
[[nodiscard]] inline double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Of an even number, half-way between the two in the middle, as statistics has it; 0 of none.
[[nodiscard]] inline double even_median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

}  // namespace kinetics
