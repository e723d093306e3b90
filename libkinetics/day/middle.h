#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "libkinetics/core/median.h"

namespace kinetics::day_detail {

/// The median; nothing when there are no values.
[[nodiscard]] inline std::optional<double> middle(std::vector<double> values) {
  if (values.empty()) return std::nullopt;
  return even_median_of(std::move(values));
}

}  // namespace kinetics::day_detail
