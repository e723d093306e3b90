#pragma once

#include <string>

#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/session/session.h"

/// The clip again with the path and the current velocity drawn on it.

namespace kinetics {

/// Writes the annotated clip: the rim (dashed while the bar is hidden), the bar's path in the
/// current rep, its velocity now, and each finished rep's mean velocity.
///
/// Time     stored speed: slow motion stays slow to watch; the velocities are the real ones.
/// Size     as displayed with square pixels, at most 1920 on the longer side.
/// Errors   as ClipReader and ClipWriter; Error{kUsage} when `out_path` is the clip itself.
/// Cost     one more decode and an encode: several times an analysis.
void write_overlay(const Session& session,
                   const std::string& clip_path,
                   const std::string& out_path,
                   const Progress& progress = {});

/// Draws what belongs on the picture shown at `t_s` (real seconds since the first).
void draw_overlay(const Session& session, double t_s, ColourPicture& picture);

}  // namespace kinetics
