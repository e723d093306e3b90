#pragma once

#include <string>
#include <vector>

#include "libkinetics/session/session.h"

/// What a table says around its numbers, for pages that say it too. Internal to the room.

namespace kinetics {

/// Clip, log and how their clocks stand, each in a line.
[[nodiscard]] std::vector<std::string> facts_in_words(const Session& session);

/// Thresholds, scale, version and time of the analysis.
[[nodiscard]] std::string how_measured_in_words(const Session& session);

}  // namespace kinetics
