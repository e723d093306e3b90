#pragma once

#include <string>

#include "libkinetics/loading/mass.h"

namespace kinetics {

/// "kg" or "lb". Private to the report.
[[nodiscard]] inline std::string unit_word(MassUnit unit) {
  return unit == MassUnit::kPound ? "lb" : "kg";
}

}  // namespace kinetics
