#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/progress.h"
#include "libkinetics/session/session.h"

/// The main job in one call: a clip, a log, or both in, every rep out.

namespace kinetics {

/// Errors  as ClipReader and track_bar, and Error{kUsage} for options that check() refuses. A clip
///         without reps is no error: reps is empty.
[[nodiscard]] Session analyse_clip(const std::string& path,
                                   const AnalysisOptions& options = {},
                                   const Progress& progress = {});

/// From the log of a bar-mounted sensor or a cable encoder.
///
/// Errors  as read_log, estimate_log_motion and estimate_motion.
[[nodiscard]] Session analyse_log(const std::string& path,
                                  const AnalysisOptions& options = {},
                                  const Progress& progress = {});

/// From a clip and the log of the same set in one estimate. Times are the clip's.
///
/// Errors  as analyse_clip and analyse_log; Error{kUnreadable} when the two do not show the same
///         motion.
[[nodiscard]] Session analyse_clip_with_log(const std::string& clip_path,
                                            const std::string& log_path,
                                            const AnalysisOptions& options = {},
                                            const Progress& progress = {});

/// Whether a file is taken for a log: by its name's ending, .csv, .tsv, .txt, .log or .dat.
[[nodiscard]] bool names_a_log(const std::string& path);

}  // namespace kinetics
