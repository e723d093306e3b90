#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/progress.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "libkinetics/speed_day/bar_work.h"
#include "libkinetics/speed_day/recordings.h"

/// All recordings of a day watched, several at once. Internal.

namespace kinetics {

struct WatchedDay {
  std::vector<SeenRecording> seen;  ///< by recording; of a log, or one that was left out, empty
  std::vector<BarWork> logs;        ///< not measured yet
  std::size_t done = 0;             ///< recordings that were watched whole, now or before
  Notes notes;
};

/// Errors  the first recording's when none could be read.
[[nodiscard]] WatchedDay watch_recordings(const std::vector<Recording>& recordings,
                                          const DayOptions& options,
                                          const std::string& keep,
                                          const Progress& progress);

}  // namespace kinetics
