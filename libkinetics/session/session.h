#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/flags/finding.h"
#include "libkinetics/inertial/estimate_log.h"
#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/media/clip.h"
#include "libkinetics/roster/set_plan.h"
#include "libkinetics/roster/thresholds.h"
#include "libkinetics/sensor/read_log.h"
#include "libkinetics/session/loading_choice.h"
#include "libkinetics/tracking/track_bar.h"

/// Everything one analysis produced: what is printed, stored and shown.

namespace kinetics {

/// The day of the lifting as it was told: local, ISO 8601; empty to take it from the recording.
struct HeldOn {
  std::string day = {};
  std::string told_by = {};  ///< "--date", "the sheet's row 3"; for the note
};

/// Every option of every step, so that a stored session can be reproduced.
struct AnalysisOptions {
  ClipOptions clip;
  TrackingOptions tracking;
  LogOptions log;
  StrapdownOptions strapdown;
  MotionOptions motion;
  RepOptions reps;
  LoadingChoice loading;
  Thresholds thresholds;        ///< but for `slowed_loss`, which is that of `reps`
  std::optional<SetPlan> plan;  ///< empty when no sheet was given
  HeldOn held_on = {};          ///< stored in the provenance
};

/// Where the numbers come from.
struct Provenance {
  std::string program_version;
  std::string analysed_at;    ///< UTC, ISO 8601
  std::string source_name;    ///< of the clip, or of the log alone, without its folder
  std::string source_sha256;  ///< of the input file, hex; empty when not computed
  std::string libraries;      ///< versions of FFmpeg, OpenCV and the rest
  std::string held_on = {};   ///< local day of the lifting, ISO 8601; empty when not known
  /// Name of the session file in place of which this one counts; empty when it corrects none.
  std::string supersedes = {};
};

/// Something the coach put right in a session after it was stored.
struct CorrectionMade {
  std::string made_at;     ///< UTC, ISO 8601
  std::string of_file;     ///< name of the session file as it was before
  std::string what;        ///< the kind of it: "rep excluded", "load"
  std::string before;      ///< in words, with units; empty when there was nothing
  std::string after;       ///< likewise
  std::string words = {};  ///< all of it as a sentence: "Set 1 rep 2 now starts at 9.71 s."
  bool operator==(const CorrectionMade&) const = default;
};

/// The log that was read, alone or beside a clip.
struct LogInfo {
  std::string name;              ///< file name without its folder
  std::string sha256;            ///< of the file, hex; empty when not computed
  bool holds_positions = false;  ///< a cable encoder's heights, not accelerations
  bool has_gyroscope = false;
  double rate_hz = 0.0;
  std::int64_t rows = 0;
  double started_unix_s = 0.0;  ///< 0 when the log does not say
  /// Beside a clip: clip time = offset_s + log time · (1 + skew), and how alike the two moved.
  std::optional<double> offset_s = std::nullopt;
  std::optional<double> offset_sigma_s = std::nullopt;
  std::optional<double> skew = std::nullopt;
  std::optional<double> skew_sigma = std::nullopt;
  std::optional<double> agreement = std::nullopt;
};

struct Session {
  ClipInfo clip;               ///< without a picture size when there was no clip
  std::optional<LogInfo> log;  ///< empty when there was no log
  AnalysisOptions options;
  DiscTrack disc;
  BarPath path;
  Motion motion;
  std::vector<Rep> reps;
  Findings findings = {};
  Notes notes;
  Provenance provenance;
  std::vector<CorrectionMade> corrections = {};  ///< all of them, in the order they were made
};

[[nodiscard]] inline bool has_clip(const Session& session) {
  return session.clip.width_px > 0;
}

}  // namespace kinetics
