#pragma once

#include <cstddef>
#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"

/// The index made anew. Queries keep it in step by themselves (logbook.h).

namespace kinetics {

struct IndexMade {
  std::size_t files = 0;  ///< session files read, damaged ones among them
  double seconds = 0.0;
  Notes notes;  ///< damaged files, and why the index could not be written
};

/// Reads every session file and replaces the index. It forgets files that are no longer there.
///
/// Errors  Error{kUnreadable} when there is no such folder.
[[nodiscard]] IndexMade make_index_anew(const std::string& logbook, const Progress& progress = {});

}  // namespace kinetics
