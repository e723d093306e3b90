#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// One row a rep, for a spreadsheet.

namespace kinetics {

[[nodiscard]] std::string to_csv(const Session& session);

}  // namespace kinetics
