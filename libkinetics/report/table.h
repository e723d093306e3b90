#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The set table for a terminal, 80 columns wide.

namespace kinetics {

[[nodiscard]] std::string to_table(const Session& session);

}  // namespace kinetics
