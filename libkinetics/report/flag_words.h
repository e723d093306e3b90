#pragma once

#include <string>
#include <vector>

#include "libkinetics/session/session.h"

/// Every flag beside a rep, whoever raised it. Internal to the room.

namespace kinetics {

/// In the words of the files: "slowed", "maybe-high-bottom". Each once.
[[nodiscard]] std::vector<std::string> flag_words(const Session& session, const Rep& rep);

/// The same as a person reads them: "maybe high bottom".
[[nodiscard]] std::vector<std::string> spoken_flags(const Session& session, const Rep& rep);

}  // namespace kinetics
