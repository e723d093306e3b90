#pragma once

#include <string>
#include <vector>

#include "libkinetics/session/session.h"

/// What the coach puts right in a stored session: a new file that counts in place of the old one,
/// which is kept.

namespace kinetics {

/// One thing put right, in words with units: {"load", "92.5 kg", "95 kg"}, {"rep excluded", "set 1
/// rep 3, 0.580 m/s", ""}.
struct Change {
  std::string what;
  std::string before;
  std::string after;
  std::string words = {};  ///< all of it as a sentence for the coach
};

/// Stores `corrected` beside the session file it was made from and returns the new file's path.
/// The new session names the old file as superseded and tells of every correction since the first
/// analysis; the caller has worked out its numbers. From then on the logbook counts the new one.
///
/// Errors  Error{kUsage} without a change, or when another correction of the old file is stored
///         already (the message names it: correct that one); Error{kUnreadable} when the old file
///         is damaged; otherwise as store_session. Nothing is stored then.
[[nodiscard]] std::string store_correction(Session corrected,
                                           const std::string& old_path,
                                           const std::vector<Change>& changes);

}  // namespace kinetics
