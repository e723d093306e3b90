#pragma once

#include <string>
#include <vector>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/track_bar.h"

/// Everything one analysis produced: what is printed, stored and shown.

namespace kinetics {

/// Every option of every step, so that a stored session can be reproduced.
struct AnalysisOptions {
  ClipOptions clip;
  TrackingOptions tracking;
  MotionOptions motion;
  RepOptions reps;
};

/// Where the numbers come from.
struct Provenance {
  std::string program_version;
  std::string analysed_at;    ///< UTC, ISO 8601
  std::string source_name;    ///< file name without its folder
  std::string source_sha256;  ///< of the input file, hex; empty when not computed
  std::string libraries;      ///< versions of FFmpeg, OpenCV and the rest
};

struct Session {
  ClipInfo clip;
  AnalysisOptions options;
  DiscTrack disc;
  BarPath path;
  Motion motion;
  std::vector<Rep> reps;
  Notes notes;
  Provenance provenance;
};

}  // namespace kinetics
