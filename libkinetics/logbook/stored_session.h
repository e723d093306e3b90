#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// A session with the seal of its file. Private to the logbook.

namespace kinetics {

enum class Wanted {
  kAll,
  kSummary,  ///< without the rows of every frame
};

struct StoredSession {
  Session session;
  std::string seal;  ///< SHA-256 of the stored session, which copies of a file share
};

/// As load_session. The whole file is checked against its seal, whatever is wanted of it.
[[nodiscard]] StoredSession read_whole(const std::string& path, Wanted wanted);

}  // namespace kinetics
