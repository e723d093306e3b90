#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/setup.h"

/// Where a lifter should train for speed: the loads at which the mean power is near its highest and
/// the velocity within the coach's band.

namespace kinetics {

struct ZoneOptions {
  /// Least share of the highest mean power. 95 % spans about 0.47 to 0.73 of the best single on a
  /// line that reaches it at 0.3 m/s. A larger share makes the zone narrower.
  double power_share = 0.95;
  std::optional<VelocityBand> band = std::nullopt;  ///< in place of the profile's
  double common_low = 0.50;   ///< share of the best single: the practice to compare with
  double common_high = 0.60;  ///< (common practice, no source)
  /// An end whose 95 % interval is wider than this share of the best single fixes no zone.
  double widest_share = 0.20;
};

enum class ZoneState {
  kFixed,
  kApart,   ///< no load has both: power near its highest and velocity in the band
  kUnsure,  ///< the sets cannot tell where it begins or ends
  kNoLine,
};

enum class ZoneLimit { kPower, kVelocity };

struct ZoneEnd {
  double load_kg = 0.0;
  std::optional<Interval> interval_kg;  ///< 95 %
  ZoneLimit limit = ZoneLimit::kPower;  ///< what ends the zone here
  double velocity_mps = 0.0;
};

/// The zone with one set-up: lightest, most powerful and heaviest load within it that can be hung.
struct ZoneLoads {
  LoadSetup setup;
  std::optional<HungLoad> light;
  std::optional<HungLoad> best;  ///< nearest to the load of the highest power within the zone
  std::optional<HungLoad> heavy;
};

/// How the zone lies against the common practice, a range of shares of the best single.
struct CommonPractice {
  double low_kg = 0.0;
  double high_kg = 0.0;
  double best_single_kg = 0.0;  ///< entered or estimated: what the shares are of
  bool best_is_estimate = false;
  std::string words;  ///< whether it agrees, and if not why, in plain words
};

/// A session that would fix the zone.
struct ZoneTest {
  struct Load {
    double mean_kg = 0.0;
    double share_of_best = 0.0;  ///< 0 when the best single is not known
    int sets = 2;
  };
  std::vector<Load> loads;
  std::string words;
};

struct Zone {
  ZoneState state = ZoneState::kNoLine;
  std::string why;  ///< when it is not fixed
  double power_share = 0.0;
  std::optional<VelocityBand> band;
  ZoneEnd low;  ///< meaningful unless there is no line; low above high when the two are apart
  ZoneEnd high;
  double best_load_kg = 0.0;  ///< of the highest mean power
  double best_power_w = 0.0;
  std::optional<double> reference_kg;    ///< best single, entered or else estimated
  std::vector<ZoneLoads> loads;          ///< of a fixed zone only
  std::optional<CommonPractice> common;  ///< likewise
  std::optional<ZoneTest> test;
};

/// Works the zone out from the profile's line or curve.
///
/// Power     load times gravity times mean velocity: the bar's, from rest to rest. The lifter's own
///           mass is not counted.
/// Accuracy  ends agree with brute-force maximisation to 0.01 kg (tests/profile/zone_test.cpp).
/// Errors    Error{kUsage} for options out of range, or a profile over another axis than
///           LoadAxis::kMean.
[[nodiscard]] Zone find_zone(const Profile& profile,
                             const std::vector<LoadSetup>& setups = {},
                             const ZoneOptions& options = {});

}  // namespace kinetics
