#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "libkinetics/session/session.h"

/// How a session becomes a file and a file a session. Private to the logbook.

namespace kinetics {

enum class SessionPart {
  kAll,
  kSummary,  ///< without the rows of every frame
};

struct StoredSession {
  Session session;
  std::string seal;  ///< SHA-256 of the stored session, which copies of a file share
};

/// The file begins with an HDF5 user block, which every HDF5 reader steps over. Ours holds a seal:
/// a digest of all that follows.
inline constexpr std::size_t kUserBlockBytes = 512;

/// Whether a file that begins like this was made as a session file.
[[nodiscard]] bool starts_like_session(std::string_view head);

/// Whether the file holds what it held when it was stored. Throws as load_session unless it starts
/// like a session and can be read.
[[nodiscard]] bool is_as_sealed(const std::string& path);

/// As load_session. The whole file is checked against its seal, whatever is wanted of it.
[[nodiscard]] StoredSession read_whole(const std::string& path, SessionPart wanted);

/// Stores the session as a new file whose name begins with `name`, in letters and digits that every
/// file system takes. As store_session otherwise.
[[nodiscard]] std::string store_session_as(const Session& session,
                                           const std::string& logbook_dir,
                                           const std::string& name);

/// Throws Error{kUsage} when it cannot be made.
void make_logbook_folder(const std::string& logbook_dir);

}  // namespace kinetics
