#include "libkinetics/session/options.h"

#include <optional>
#include <string>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

void check_range(const char* name, double value, Range range) {
  // holds() is false for a NaN too.
  if (range.holds(value)) return;
  throw Error(ErrorCode::kUsage,
              name,
              fmt::format("{} is out of range", value),
              fmt::format("Give a value from {:g} to {:g}", range.least, range.greatest));
}

void check_range(const char* name, const std::optional<double>& value, Range range) {
  if (value) check_range(name, *value, range);
}

void check_seed(const DiscSeed& seed, const ClipInfo& clip) {
  check_range("seed time, s", seed.t_s, kSeedTimeS);
  // A pixel's centre has whole coordinates, so the picture spans half a pixel more on each side.
  const Range across{-0.5, clip.width_px - 0.5};
  const Range down{-0.5, clip.height_px - 0.5};
  if (!across.holds(seed.at.x_px) || !down.holds(seed.at.y_px)) {
    throw Error(ErrorCode::kUsage,
                "seed",
                fmt::format("({:g}, {:g}) is outside the picture", seed.at.x_px, seed.at.y_px),
                fmt::format("{} is {} pixels wide and {} high as displayed",
                            clip.path,
                            clip.width_px,
                            clip.height_px));
  }
  if (!clip.duration_s) return;
  const double real_duration_s = *clip.duration_s / clip.slow_motion_factor;
  if (seed.t_s > real_duration_s) {
    throw Error(ErrorCode::kUsage,
                "seed",
                fmt::format("{:g} s is after the end of the clip", seed.t_s),
                fmt::format("{} lasts {:.2f} s", clip.path, real_duration_s));
  }
}

}  // namespace

void check(const AnalysisOptions& options) {
  const std::string& day = options.held_on.day;
  if (!day.empty() && !day_in(day)) {
    throw Error(ErrorCode::kUsage,
                options.held_on.told_by.empty() ? "day" : options.held_on.told_by,
                fmt::format("'{}' is no day", day),
                "Write it like 2031-03-07");
  }
  check_range("threshold, m/s", options.reps.threshold_mps, kThresholdMps);
  check_range("least rise, m", options.reps.min_rise_m, kMinRiseM);
  check_range("slowed loss", options.reps.slowed_loss, kSlowedLoss);
  check_range("set gap, s", options.reps.set_gap_s, kSetGapS);
  check_range("rate of the log, Hz", options.log.rate_hz, kLogRateHz);
  check_range("gravity, m/s²", options.strapdown.gravity_mps2, kGravityMps2);
  check_range("bar height at the bottom, m", options.loading.bar_height_at_bottom_m, kBarHeightM);
  check_range("bar height at lockout, m", options.loading.bar_height_at_lockout_m, kBarHeightM);
  check_range("error of the bar height, m", options.loading.height_sigma_m, kBarHeightSigmaM);
}

void check(const AnalysisOptions& options, const ClipInfo& clip) {
  check_range("capture rate, Hz", options.clip.capture_rate_hz, kCaptureRateHz);
  check_range("disc diameter, m", options.tracking.disc_diameter_m, kDiscDiameterM);
  check_range("camera roll, rad", options.tracking.camera_roll_rad, kCameraRollRad);
  check_range("readout time, s", options.tracking.readout_s, kReadoutS);
  check(options);
  if (options.tracking.seed) check_seed(*options.tracking.seed, clip);
}

}  // namespace kinetics
