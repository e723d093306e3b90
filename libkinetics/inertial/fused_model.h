#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/inertial/drift_smoother.h"
#include "libkinetics/inertial/log_estimate.h"
#include "libkinetics/kinematics/motion.h"

/// The model that clip and log share: their readings in one order of time, and what both leave
/// open.
///
/// Internal to the room.

namespace kinetics {

/// States of the fused model after those of a log alone: constants that both sources share.
inline constexpr int kLengthScale = kLogStates + 0;  // the clip's lengths, too large by this share
inline constexpr int kShutter = kLogStates + 1;      // s of delay per m of height
inline constexpr int kOffset = kLogStates + 2;       // correction of the clip's times, s
inline constexpr int kSkew = kLogStates + 3;         // the same per second from the middle
inline constexpr int kAccelScale =
    kLogStates + 4;  // the log's accelerations, too large by this share
inline constexpr int kFusedStates = kLogStates + 5;

/// One instant of the estimate, in the log's time: a reading of the log, a frame, or both kinds.
struct Instant {
  double t_s = 0.0;
  std::optional<std::size_t> reading;
  std::optional<std::size_t> frame;
};

/// What is known of clocks and scales so far.
struct Shared {
  double offset_s = 0.0;
  double skew = 0.0;
  double middle_s = 0.0;  // clip time about which the skew turns
  double length_scale = 0.0;
  double shutter = 0.0;
  double accel_scale = 0.0;

  // log time = clip time - offset, less the skew
  [[nodiscard]] double log_time(double clip_s) const {
    return middle_s + (clip_s - middle_s) * (1.0 - skew) - offset_s;
  }
};

struct Sources {
  const BarPath& path;
  const Motion& clip;
  const LogEstimate& log;
  double skew_sigma = 1e-4;
};

/// Readings and frames in the log's time, as the clocks are known so far.
[[nodiscard]] std::vector<Instant> instants(const Sources& in, const Shared& shared);

/// Density of the jerk from one instant to the next.
[[nodiscard]] double jerk_after(const Sources& in, const std::vector<Instant>& all, std::size_t i);

/// With kFusedStates clocks and scales are estimated too; with kLogStates they are held.
template <int N>
[[nodiscard]] StateModel<N> fused_model(const Sources& in,
                                        const std::vector<Instant>& all,
                                        const Shared& shared);

}  // namespace kinetics
