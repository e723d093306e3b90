#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/session/session.h"
#include "libkinetics/speed_day/recordings.h"
#include "libkinetics/speed_day/seen_recording.h"

/// Which of all the discs that were worked is the bar's, and what was done with it. Internal.

namespace kinetics {

/// A stretch of one recording in which the bar was worked. Times count from the recording's first
/// picture.
struct BarWork {
  std::size_t recording = 0;  ///< index into the day's recordings
  double from_s = 0.0;
  double to_s = 0.0;
  bool begins_at_rest = true;  ///< the bar lay still before; else the work goes on from elsewhere
  int view = 1;                ///< of its camera; grows when the tripod was moved
  double drift_y_px = 0.0;     ///< how far the picture has gone down since the view began
  double radius_px = 0.0;      ///< of the disc
  double place_x_px = 0.0;
  double worked_m = 0.0;
  /// The disc's diameter over the one that was given: others are told by their size in the picture.
  double disc_share = 1.0;
  std::string file = {};                     ///< of a clip: what see_recording kept
  std::shared_ptr<const Session> held = {};  ///< of a log: the whole of it
  /// Filled in by measure_work:
  double zero_m = 0.0;  ///< the path's zero above the camera's axis; of a log 0
  std::vector<Rep> reps = {};
  std::vector<std::pair<double, double>> rests =
      {};  ///< in which the bar lay still for kBarAtRestS
};

struct DayWork {
  std::vector<BarWork> work;  ///< by recording, in time order
  Notes notes;
};

/// Chooses among the discs of all stretches of a day's clips.
///
/// Method  Of each camera, the place where most was lifted by the largest discs is the bar's.
///         Discs there count whatever their size, since it changes with the plates; elsewhere those
///         that look as large, not the smaller ones of a rack behind. Sizes that most of the large
///         ones share are the diameter that was given, others are measured by theirs.
[[nodiscard]] DayWork choose_work(const std::vector<Recording>& recordings,
                                  const std::vector<SeenRecording>& seen);

/// The work as a session without reps: path and motion in metres, with the disc's true diameter.
[[nodiscard]] Session load_work(const BarWork& work, const AnalysisOptions& options);

/// Finds the reps and rests.
void measure_work(BarWork& work, const AnalysisOptions& options);

}  // namespace kinetics
