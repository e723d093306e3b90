#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

/// The middle value, which a few wild ones do not move. Internal.

namespace kinetics {

/// Of an even number, the upper of the two in the middle; 0 of none.
inline double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace kinetics
