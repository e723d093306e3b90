#pragma once

#include <vector>

#include <nlohmann/json.hpp>

#include "samples/render/motion.h"

/// The repetitions as every truth file spells them. For source files only.

namespace render {

[[nodiscard]] nlohmann::json json_of(const std::vector<RepTruth>& reps);

}  // namespace render
