#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The session for other programs.

namespace kinetics {

[[nodiscard]] std::string to_json(const Session& session);

}  // namespace kinetics
