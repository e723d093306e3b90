#pragma once

#include <string>
#include <vector>

/// Which session files count, and which have another one in their place. Private to the logbook.

namespace kinetics {

/// What must be known of a session file to tell.
struct Candidate {
  std::string file;           ///< name without folder
  std::string seal;           ///< SHA-256 of the stored session
  std::string source_sha256;  ///< of the recording; empty when not known
  double first_s = 0.0;       ///< start of the first rep and end of the last, in the recording
  double last_s = 0.0;
  std::string made_at;                  ///< of the analysis or of its last correction, UTC
  std::vector<std::string> supersedes;  ///< files it was corrected from, all of them
};

/// For each candidate the file that counts in its place; empty when it counts itself. In this
/// order: a corrected session replaces those it was made from; of copies the first by name counts;
/// of analyses of the same stretch of the same recording the last one made counts.
[[nodiscard]] std::vector<std::string> replaced_by(const std::vector<Candidate>& all);

}  // namespace kinetics
