#include "libkinetics/profile/zone.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/zone_words.h"

namespace kinetics {
namespace {

void check(const Profile& profile, const ZoneOptions& o) {
  const auto refuse = [](const std::string& what, const std::string& mend) {
    throw Error(ErrorCode::kUsage, "zone options", what, mend);
  };
  if (profile.axis != LoadAxis::kMean) {
    refuse("power needs the mean load over the way up", "Fit the profile over the mean load");
  }
  if (!(o.power_share > 0.5) || !(o.power_share < 1.0)) {
    refuse("the share of the highest power is not between 0.5 and 1", "Give a share such as 0.95");
  }
  if (o.band && !(o.band->lowest_mps < o.band->highest_mps)) {
    refuse("the band of velocities has no width", "Give the lowest first");
  }
  if (!(o.common_low > 0.0) || !(o.common_low < o.common_high)) {
    refuse("the common practice is no range", "Give two shares of the best single");
  }
}

double power_w(const VelocityLine& line, double load_kg) {
  return kStandardGravity * load_kg * velocity_at(line, load_kg).velocity_mps;
}

/// Highest power and where; the curve's power has one hill between no load and no velocity.
double load_of_highest_power(const VelocityLine& line, double end_kg) {
  double lo = 0.0;
  double hi = end_kg;
  for (int i = 0; i < 200; ++i) {
    const double a = lo + (hi - lo) / 3.0;
    const double b = hi - (hi - lo) / 3.0;
    if (power_w(line, a) < power_w(line, b)) {
      lo = a;
    } else {
      hi = b;
    }
  }
  return 0.5 * (lo + hi);
}

/// The load at which the power has fallen to a share of its highest, towards `end_kg`.
double load_of_share(const VelocityLine& line, double best_kg, double end_kg, double share) {
  const double wanted = share * power_w(line, best_kg);
  double inside = best_kg;
  double outside = end_kg;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (inside + outside);
    (power_w(line, middle) >= wanted ? inside : outside) = middle;
  }
  return 0.5 * (inside + outside);
}

/// Of a straight line the ends lie at fixed shares of the load at rest, whose interval is
/// Fieller's. A curve's ends take the same relative width: its bend is known worse, so that the
/// zone of a curve is compared with the wider one of both.
ZoneEnd power_end(const VelocityLine& line, double load_kg, const Worked& at_rest) {
  ZoneEnd out{.load_kg = load_kg,
              .interval_kg = std::nullopt,
              .limit = ZoneLimit::kPower,
              .velocity_mps = velocity_at(line, load_kg).velocity_mps};
  if (at_rest.interval) {
    const double share = load_kg / at_rest.value;
    out.interval_kg = Interval{share * at_rest.interval->lo, share * at_rest.interval->hi};
  }
  return out;
}

std::optional<ZoneEnd> velocity_end(const VelocityLine& line, double velocity_mps) {
  const auto at = load_at(line, {.velocity_mps = velocity_mps});
  if (!at) return std::nullopt;
  return ZoneEnd{.load_kg = at->value,
                 .interval_kg = at->interval,
                 .limit = ZoneLimit::kVelocity,
                 .velocity_mps = velocity_mps};
}

std::optional<double> reference_of(const Profile& profile) {
  if (profile.best.entered_kg) return profile.best.entered_kg;
  if (profile.best.estimate_kg) return profile.best.estimate_kg->value;
  return std::nullopt;
}

bool too_wide(const ZoneEnd& end, double reference_kg, const ZoneOptions& options) {
  return !end.interval_kg ||
         end.interval_kg->hi - end.interval_kg->lo > options.widest_share * reference_kg;
}

ZoneLoads loads_with(const LoadSetup& setup, const Zone& zone) {
  ZoneLoads out{.setup = setup, .light = {}, .best = {}, .heavy = {}};
  const double best_kg = std::clamp(
      zone.best_load_kg, zone.low.load_kg, std::max(zone.low.load_kg, zone.high.load_kg));
  out.light = hang(setup, zone.low.load_kg, HangTo::kAtLeast);
  out.best = hang(setup, best_kg, HangTo::kNearest);
  out.heavy = hang(setup, zone.high.load_kg, HangTo::kAtMost);
  return out;
}

void find_ends(Zone& zone, const VelocityLine& line, const Worked& at_rest) {
  zone.best_load_kg = load_of_highest_power(line, at_rest.value);
  zone.best_power_w = power_w(line, zone.best_load_kg);
  zone.low =
      power_end(line, load_of_share(line, zone.best_load_kg, 0.0, zone.power_share), at_rest);
  zone.high = power_end(
      line, load_of_share(line, zone.best_load_kg, at_rest.value, zone.power_share), at_rest);
  if (!zone.band) return;
  const auto fastest = velocity_end(line, zone.band->highest_mps);
  const auto slowest = velocity_end(line, zone.band->lowest_mps);
  if (fastest && fastest->load_kg > zone.low.load_kg) zone.low = *fastest;
  if (slowest && slowest->load_kg < zone.high.load_kg) zone.high = *slowest;
}

}  // namespace

Zone find_zone(const Profile& profile,
               const std::vector<LoadSetup>& setups,
               const ZoneOptions& options) {
  check(profile, options);
  Zone zone;
  zone.power_share = options.power_share;
  zone.band = options.band ? options.band : profile.band;
  zone.reference_kg = reference_of(profile);
  const VelocityLine* line = prediction_line(profile);
  const std::optional<Worked> at_rest = line ? load_at(*line, {}) : std::nullopt;
  if (!at_rest) {
    zone.why = profile.no_line.empty() ? "the line does not come down to rest" : profile.no_line;
    zone.test = zone_test(profile, zone, options);
    return zone;
  }
  find_ends(zone, *line, *at_rest);
  constexpr double kBestOfRest = 0.85;  // where a single usually is on the way to rest
  const double reference_kg = zone.reference_kg.value_or(kBestOfRest * at_rest->value);
  if (zone.low.load_kg > zone.high.load_kg) {
    zone.state = ZoneState::kApart;
    zone.why = apart_in_words(*line, zone);
  } else if (too_wide(zone.low, reference_kg, options) ||
             too_wide(zone.high, reference_kg, options)) {
    zone.state = ZoneState::kUnsure;
    zone.why = unsure_in_words(zone, reference_kg);
    zone.test = zone_test(profile, zone, options);
  } else {
    zone.state = ZoneState::kFixed;
  }
  if (zone.state != ZoneState::kApart) {
    for (const LoadSetup& setup : setups) zone.loads.push_back(loads_with(setup, zone));
    zone.common = common_practice(profile, zone, options);
  }
  return zone;
}

}  // namespace kinetics
