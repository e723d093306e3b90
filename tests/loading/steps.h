#pragma once

#include <vector>

/// Evenly spaced numbers for tests that walk along a length or a height.

namespace kinetics {

/// `count` numbers from `from` on, `step` apart.
inline std::vector<double> steps(double from, double step, int count) {
  std::vector<double> numbers;
  numbers.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) numbers.push_back(from + step * i);
  return numbers;
}

}  // namespace kinetics
