#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/progress.h"
#include "libkinetics/session/session.h"
#include "libkinetics/speed_day/seen_recording.h"
#include "libkinetics/tracking/watch_bar.h"

/// A span of a recording, watched and kept in a folder of its own. Internal to the room.

namespace kinetics {

struct KeptSpan {
  int height_px = 0;
  bool flawless = true;  ///< so far: pictures whose times are as stored need not be decoded again
  std::vector<WatchedStretch> stretches;
  WatchEnd end;  ///< as watch_bar returns it
  bool whole = false;
  Notes notes;
};

/// What an earlier run kept; from the first thing that is not as it should be on, nothing.
[[nodiscard]] KeptSpan read_kept(const std::string& folder);

/// Watches the span to its end, from where an earlier run was interrupted.
/// Errors  as see_recording_part.
[[nodiscard]] KeptSpan see_span(const std::string& path,
                                const WatchSpan& span,
                                const AnalysisOptions& options,
                                const std::string& folder,
                                const Progress& progress);

[[nodiscard]] std::vector<WorkedSize> worked_in(const std::vector<WatchedStretch>& stretches);

}  // namespace kinetics
