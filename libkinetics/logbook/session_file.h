#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// A session on disk: one HDF5 file, written once.

namespace kinetics {

/// Writes the session into the folder (made when missing) and returns the file's path. The file
/// appears under its name only when it is whole and flushed to disk; nothing existing is replaced.
///
/// Errors  Error{kUsage} when the folder cannot be written, Error{kInternal} when the disk fills.
[[nodiscard]] std::string store_session(const Session& session, const std::string& logbook_dir);

/// Reads a session back. Errors: Error{kUnreadable} naming the file and what is wrong with it.
[[nodiscard]] Session load_session(const std::string& path);

}  // namespace kinetics
