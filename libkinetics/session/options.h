#pragma once

#include "libkinetics/media/clip.h"
#include "libkinetics/session/session.h"

/// Which options make sense.

namespace kinetics {

/// Least and greatest value that can be meant; outside it is a slip of the finger or of the unit.
struct Range {
  double least = 0.0;
  double greatest = 0.0;
  [[nodiscard]] bool holds(double value) const { return value >= least && value <= greatest; }
};

inline constexpr Range kDiscDiameterM{0.10, 1.00};
inline constexpr Range kCaptureRateHz{1.0, 20000.0};
inline constexpr Range kReadoutS{0.0, 0.1};
inline constexpr Range kCameraRollRad{-0.7853981633974483, 0.7853981633974483};  // 45 degrees
inline constexpr Range kThresholdMps{0.001, 0.5};
inline constexpr Range kMinRiseM{0.01, 2.0};
inline constexpr Range kSlowedLoss{0.01, 0.95};
inline constexpr Range kSetGapS{1.0, 3600.0};
inline constexpr Range kSeedTimeS{0.0, 86400.0};
inline constexpr Range kLogRateHz{3.0, 2500.0};
inline constexpr Range kLatitudeDeg{-90.0, 90.0};
inline constexpr Range kGravityMps2{9.76, 9.84};
inline constexpr Range kBarHeightM{0.0, 3.0};
inline constexpr Range kBarHeightSigmaM{0.0, 0.5};

inline constexpr Range kSheetRow{2.0, 100000.0};
inline constexpr Range kBelowExpectedMps{0.0, 1.0};
inline constexpr Range kZoneMps{0.02, 5.0};
inline constexpr Range kHighBottomM{0.0, 0.5};
inline constexpr Range kUnevenPauseS{0.0, 10.0};

/// Throws Error{kUsage} naming the first option about lengths, reps or the log that is out of
/// range.
void check(const AnalysisOptions& options);

/// As above, and for those about the clip. Throws Error{kUsage} naming the first option that is not
/// a number, out of range, or that does not fit the clip (a seed outside the picture or after the
/// clip's end).
void check(const AnalysisOptions& options, const ClipInfo& clip);

}  // namespace kinetics
