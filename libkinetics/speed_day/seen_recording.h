#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/session/session.h"
#include "libkinetics/speed_day/recordings.h"
#include "libkinetics/tracking/watch_bar.h"

/// The long work of a day, kept as it is done: what each stretch of a recording showed of the bar.

namespace kinetics {

/// A disc that was worked, kept in a file.
struct SeenDisc {
  std::string file;  ///< a session without reps: clip, disc and path
  double up_and_down_m = 0.0;
  double radius_px = 0.0;
  PixelPoint where;
};

struct WatchedStretch {
  double from_s = 0.0;
  double to_s = 0.0;
  CameraStep before = {};  ///< as in BarStretch
  CameraStep camera;
  std::vector<SeenDisc> discs;
};

struct SeenRecording {
  int height_px = 0;                      ///< of the picture, as displayed
  std::vector<WatchedStretch> stretches;  ///< in time order
  Notes notes;                            ///< of the reader, on the whole file
};

/// A recording's parts, which are watched apart, so that several cores share the work. They depend
/// on the recording's length alone.
struct PartedRecording {
  std::string folder;             ///< what is kept of it
  std::vector<double> ends_s;     ///< of the parts; the last is infinite
  std::optional<double> lasts_s;  ///< where known; else it is one part
};

/// Folder  below `keep`: the recording's name, and a fingerprint of the file, of the options that
///         matter for seeing and of the program's version.
[[nodiscard]] PartedRecording part_recording(const Recording& recording,
                                             const AnalysisOptions& options,
                                             const std::string& keep);

/// Watches a part to its end, from where an earlier run with the same options was interrupted.
/// Finished stretches are not looked at again.
///
/// Files   below the recording's folder. Each appears whole or not at all; a run that is killed
///         loses the stretch it was in.
/// Errors  as watch_bar; Error{kInternal} when the disk fills.
void see_part(const Recording& recording,
              const PartedRecording& parted,
              std::size_t part,
              const AnalysisOptions& options,
              const Progress& progress = {});

/// All that was seen, once every part was. Where two watches of one set do not end alike, what
/// comes after the first of them is watched again.
[[nodiscard]] SeenRecording join_parts(const Recording& recording,
                                       const PartedRecording& parted,
                                       const AnalysisOptions& options,
                                       const Progress& progress = {});

/// Whether see_part would have nothing left to do.
[[nodiscard]] bool seen_whole(const PartedRecording& parted);

}  // namespace kinetics
