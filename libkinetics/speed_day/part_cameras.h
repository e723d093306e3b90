#pragma once

#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/session/session.h"
#include "libkinetics/speed_day/recordings.h"
#include "libkinetics/speed_day/seen_recording.h"

/// Two cameras whose files lie in one folder, told apart by what they saw. Internal.

namespace kinetics {

/// Clips taken for one camera's that show the same lifts were not taken by one: the later one by
/// name or clock becomes another camera's, and begins where its lifts fall on the other's. Where
/// too little falls together to be sure, all stays as it was and a caution names the files.
void part_cameras(std::vector<Recording>& recordings,
                  const std::vector<SeenRecording>& seen,
                  const AnalysisOptions& options,
                  Notes& notes);

/// The same from when rises begin, by recording, s since it began, ascending.
void part_by_rises(std::vector<Recording>& recordings,
                   const std::vector<std::vector<double>>& rises,
                   Notes& notes);

}  // namespace kinetics
