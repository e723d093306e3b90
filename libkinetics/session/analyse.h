#pragma once

#include <string>

#include "libkinetics/core/progress.h"
#include "libkinetics/session/session.h"

/// The main job in one call: a clip in, every rep out.

namespace kinetics {

/// Errors  as ClipReader and track_bar, and Error{kUsage} for options that check() refuses. A clip
///         without reps is no error: reps is empty.
[[nodiscard]] Session analyse_clip(const std::string& path,
                                   const AnalysisOptions& options = {},
                                   const Progress& progress = {});

}  // namespace kinetics
