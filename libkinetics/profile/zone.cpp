#include "libkinetics/profile/zone.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/student.h"
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

/// How far the line can be followed: to rest, or to where a curve stops falling.
double end_of(const VelocityLine& line) {
  constexpr double kFurthest = 3.0;  // times the heaviest load
  const std::optional<Worked> rest = load_at(line, {});
  if (rest) return rest->value;
  double end_kg = kFurthest * line.heaviest_kg;
  if (line.bend_mps_per_kg2 > 0.0) {
    end_kg = std::min(end_kg, -line.slope_mps_per_kg / (2.0 * line.bend_mps_per_kg2));
  }
  return end_kg;
}

/// The first hill of the power over the load: a curve that flattens out may rise again behind it.
double load_of_highest_power(const VelocityLine& line, double end_kg) {
  constexpr int kSteps = 400;
  double lo = 0.0;
  double hi = end_kg;
  for (int i = 1; i < kSteps; ++i) {
    const double here = end_kg * i / kSteps;
    const double next = end_kg * (i + 1) / kSteps;
    if (power_w(line, next) > power_w(line, here)) continue;
    lo = end_kg * (i - 1) / kSteps;
    hi = next;
    break;
  }
  for (int i = 0; i < 100; ++i) {
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

/// The load at which the power has first fallen to a share of its highest, towards `end_kg`; that
/// end itself when it does not fall so far.
double load_of_share(const VelocityLine& line, double best_kg, double end_kg, double share) {
  constexpr int kSteps = 400;
  const double wanted = share * power_w(line, best_kg);
  double inside = best_kg;
  double outside = end_kg;
  for (int i = 1; i <= kSteps; ++i) {
    outside = best_kg + (end_kg - best_kg) * i / kSteps;
    if (power_w(line, outside) < wanted) break;
    inside = outside;
  }
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (inside + outside);
    (power_w(line, middle) >= wanted ? inside : outside) = middle;
  }
  return 0.5 * (inside + outside);
}

double slope_at(const VelocityLine& line, double load_kg) {
  return line.slope_mps_per_kg + 2.0 * line.bend_mps_per_kg2 * load_kg;
}

Eigen::Vector3d terms(double load_kg) {
  return {1.0, load_kg, load_kg * load_kg};
}

/// Of an end of a curve's zone: by the delta method from how it moves with the coefficients.
std::optional<Interval> delta_interval(const VelocityLine& line,
                                       double load_kg,
                                       const Eigen::Vector3d& moves) {
  const double half =
      student95(line.degrees) * std::sqrt(std::max(0.0, moves.dot(line.covariance * moves)));
  if (!std::isfinite(half)) return std::nullopt;
  return Interval{load_kg - half, load_kg + half};
}

/// Of a straight line the ends lie at fixed shares of the load at rest, whose interval is
/// Fieller's. Of a curve P(load) = share P(best) tells how the end moves; the best load's own move
/// does not count, as power is level there.
ZoneEnd power_end(const VelocityLine& line, double load_kg, double best_kg, double share) {
  ZoneEnd out{.load_kg = load_kg,
              .interval_kg = std::nullopt,
              .limit = ZoneLimit::kPower,
              .velocity_mps = velocity_at(line, load_kg).velocity_mps};
  if (line.bend_mps_per_kg2 == 0.0) {
    const std::optional<Worked> rest = load_at(line, {});
    if (!rest || !rest->interval) return out;
    const double part = load_kg / rest->value;
    out.interval_kg = Interval{part * rest->interval->lo, part * rest->interval->hi};
    return out;
  }
  const double power_slope = out.velocity_mps + load_kg * slope_at(line, load_kg);
  const Eigen::Vector3d moves =
      -(load_kg * terms(load_kg) - share * best_kg * terms(best_kg)) / power_slope;
  out.interval_kg = delta_interval(line, load_kg, moves);
  return out;
}

std::optional<ZoneEnd> velocity_end(const VelocityLine& line, double velocity_mps) {
  const auto at = load_at(line, {.velocity_mps = velocity_mps});
  if (!at) return std::nullopt;
  ZoneEnd out{.load_kg = at->value,
              .interval_kg = at->interval,
              .limit = ZoneLimit::kVelocity,
              .velocity_mps = velocity_mps};
  if (line.bend_mps_per_kg2 != 0.0) {
    out.interval_kg =
        delta_interval(line, at->value, -terms(at->value) / slope_at(line, at->value));
  }
  return out;
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

void find_ends(Zone& zone, const VelocityLine& line) {
  const double end_kg = end_of(line);
  zone.best_load_kg = load_of_highest_power(line, end_kg);
  zone.best_power_w = power_w(line, zone.best_load_kg);
  const auto towards = [&](double to_kg) {
    const double at = load_of_share(line, zone.best_load_kg, to_kg, zone.power_share);
    return power_end(line, at, zone.best_load_kg, zone.power_share);
  };
  zone.low = towards(0.0);
  zone.high = towards(end_kg);
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
  if (line == nullptr) {
    zone.why = profile.no_line;
    zone.test = zone_test(profile, zone, options);
    return zone;
  }
  find_ends(zone, *line);
  constexpr double kBestOfRest = 0.85;  // where a single usually is on the way to rest
  const double reference_kg = zone.reference_kg.value_or(kBestOfRest * end_of(*line));
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
  // Loads that are not sure are not told as loads to hang.
  if (zone.state == ZoneState::kFixed) {
    for (const LoadSetup& setup : setups) zone.loads.push_back(loads_with(setup, zone));
    zone.common = common_practice(profile, zone, options);
  }
  return zone;
}

}  // namespace kinetics
