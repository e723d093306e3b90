#pragma once

#include <filesystem>
#include <string>

#include "libkinetics/logbook/check.h"

/// What happened to a session file that cannot be read. Private to the logbook.

namespace kinetics {

/// `problem` is what its reader said. `file` and `held` of the result are the caller's to fill in.
[[nodiscard]] DamagedFile diagnose(const std::filesystem::path& path, const std::string& problem);

}  // namespace kinetics
