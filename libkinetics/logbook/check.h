#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"

/// Finds damage in a logbook and tells how to mend it. Session files are only read.

namespace kinetics {

/// A session file that cannot be used.
struct DamagedFile {
  std::string file;  ///< its name without the folder
  std::string what;  ///< "cut short: 5,000 of 187,432 bytes are there"
  std::string held;  ///< what the index remembers of it; empty when nothing
  std::string mend;
  bool worthless = false;  ///< no program can read it: it may be set aside
};

struct LogbookCheck {
  std::size_t whole = 0;     ///< session files read to the last byte and found as they were stored
  std::size_t replaced = 0;  ///< of these, those in place of which another one counts
  std::vector<DamagedFile> damaged;    ///< by name
  std::vector<std::string> leftovers;  ///< parts of files whose program is gone
  Notes remarks;                       ///< worth knowing; nothing is lost by it
  bool index_made_anew = false;        ///< it did not agree with the files
};

/// Reads every session file whole and compares the index with what they hold; an index that does
/// not agree is made anew. Looks at the roster as well: names that are in no roster are told.
///
/// Errors  Error{kUnreadable} when there is no such folder, or a newer program laid it out.
[[nodiscard]] LogbookCheck check_logbook(const std::string& logbook, const Progress& progress = {});

/// Moves the files that the check found worthless, and the leftovers, into the folder `damaged` of
/// the logbook, where nothing reads them. Nothing is deleted or replaced. Returns their new paths.
///
/// Errors  Error{kInternal} when a file cannot be moved.
std::vector<std::string> set_aside(const std::string& logbook, const LogbookCheck& found);

}  // namespace kinetics
