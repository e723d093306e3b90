#include "libkinetics/profile/zone_words.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include <Eigen/LU>
#include <fmt/format.h>

#include "libkinetics/core/measured.h"

namespace kinetics {
namespace {

// Heavier tests belong to a heavy day with spotters, not to a speed profile (common practice).
constexpr double kHeaviestTest = 0.85;
constexpr double kLightestTest = 0.40;
constexpr double kTestStep = 0.05;
constexpr int kMostSets = 5;  // a load
// Few sets may look as if they hardly scattered: no session is planned on less (common practice).
constexpr double kUsualScatterMps = 0.03;
// The width aimed at, of the one that is wanted: what the session really brings differs from what
// is expected of it.
constexpr double kAim = 0.75;

std::string in_unit(double kg, MassUnit unit) {
  return unit == MassUnit::kPound ? fmt::format("{:.0f} lb", kg / kKilogramsPerPound)
                                  : fmt::format("{:.1f} kg", kg);
}

int percent(double share) {
  return static_cast<int>(std::lround(100.0 * share));
}

double velocity(const VelocityLine& line, double load_kg) {
  return velocity_at(line, load_kg).velocity_mps;
}

double power_share_at(const VelocityLine& line, const Zone& zone, double load_kg) {
  return kStandardGravity * load_kg * velocity(line, load_kg) / zone.best_power_w;
}

/// Why loads of the common practice below the zone are outside it.
std::string too_light_because(const VelocityLine& line, const Zone& zone, double load_kg) {
  if (zone.low.limit == ZoneLimit::kVelocity) {
    return fmt::format("there the bar moves at {:.2f} m/s, faster than the band's {:.2f}",
                       velocity(line, load_kg),
                       zone.band->highest_mps);
  }
  return fmt::format("there mean power is {} % of its highest, below the {} % asked for",
                     percent(power_share_at(line, zone, load_kg)),
                     percent(zone.power_share));
}

std::string too_heavy_because(const VelocityLine& line, const Zone& zone, double load_kg) {
  if (zone.high.limit == ZoneLimit::kVelocity) {
    return fmt::format("there the bar moves at {:.2f} m/s, slower than the band's {:.2f}",
                       velocity(line, load_kg),
                       zone.band->lowest_mps);
  }
  return fmt::format("there mean power has fallen to {} % of its highest, below the {} % asked for",
                     percent(power_share_at(line, zone, load_kg)),
                     percent(zone.power_share));
}

/// Ends of the zone after more sets, from what the line's covariance becomes.
double widest_end_kg(const VelocityLine& line,
                     const Zone& zone,
                     const Eigen::Matrix2d& covariance) {
  const double fall = -line.slope_mps_per_kg;
  double widest = 0.0;
  for (const ZoneEnd& end : {zone.low, zone.high}) {
    // An end of the power's hill is a share of the load at rest; its error is that share of it.
    const bool power = end.limit == ZoneLimit::kPower;
    const double at_kg = power ? line.intercept_mps / fall : end.load_kg;
    const double share = power ? end.load_kg / at_kg : 1.0;
    const Eigen::Vector2d contrast(1.0, at_kg);
    const double sd = share * std::sqrt(std::max(0.0, contrast.dot(covariance * contrast))) / fall;
    widest = std::max(widest, 2.0 * kNormal95 * sd);
  }
  return widest;
}

/// The line's covariance once `sets` more at each of two loads were lifted on one more day.
Eigen::Matrix2d with_session(const VelocityLine& line, double a_kg, double b_kg, int sets) {
  const int n = 2 * sets;
  Eigen::MatrixXd x(n, 2);
  for (int i = 0; i < n; ++i) x.row(i) << 1.0, i < sets ? a_kg : b_kg;
  const double day = line.day_scatter_mps * line.day_scatter_mps;
  Eigen::MatrixXd v = Eigen::MatrixXd::Constant(n, n, day);
  const double scatter = std::max(line.scatter_mps, kUsualScatterMps);
  v.diagonal().array() += scatter * scatter;
  const Eigen::Matrix2d before = line.covariance.topLeftCorner<2, 2>();
  const Eigen::MatrixXd gain = before * x.transpose() * (x * before * x.transpose() + v).inverse();
  return before - gain * x * before;
}

struct Candidate {
  double light = 0.0;
  double heavy = 0.0;
  int sets = 0;
  double width_kg = std::numeric_limits<double>::infinity();
};

Candidate best_session(const VelocityLine& line,
                       const Zone& zone,
                       double reference_kg,
                       double wanted_kg) {
  Candidate best;
  for (int sets = 1; sets <= kMostSets; ++sets) {
    for (double heavy = kLightestTest + 0.2; heavy <= kHeaviestTest + 1e-9; heavy += kTestStep) {
      for (double light = kLightestTest; light <= heavy - 0.2 + 1e-9; light += kTestStep) {
        const double width = widest_end_kg(
            line, zone, with_session(line, light * reference_kg, heavy * reference_kg, sets));
        if (width < best.width_kg) best = {light, heavy, sets, width};
      }
      if (best.width_kg <= wanted_kg) return best;
    }
  }
  return best;
}

ZoneTest session_of(const Candidate& c, double reference_kg) {
  return {.loads = {{c.light * reference_kg, c.light, c.sets},
                    {c.heavy * reference_kg, c.heavy, c.sets}},
          .words = {}};
}

std::string sets_in_words(const ZoneTest& test, MassUnit unit) {
  std::string out;
  for (const ZoneTest::Load& load : test.loads) {
    if (!out.empty()) out += " and ";
    out += fmt::format(
        "{} set{} of 2 at {}", load.sets, load.sets == 1 ? "" : "s", in_unit(load.mean_kg, unit));
    if (load.share_of_best > 0.0) out += fmt::format(" ({} %)", percent(load.share_of_best));
  }
  return out;
}

constexpr const char* kStopEarly =
    " Every rep as fast as it goes; stop at the first that is slowed or not clean.";

}  // namespace

std::string apart_in_words(const VelocityLine& line, const Zone& zone) {
  const auto fast = load_at(line, {.velocity_mps = zone.band->highest_mps});
  const bool band_too_fast = fast && zone.high.limit == ZoneLimit::kVelocity;
  const double near_kg = zone.best_load_kg;
  return fmt::format(
      "at {} % of its highest mean power or more the bar moves at {:.2f} m/s and the "
      "band asks for {:.2f} to {:.2f}: it is too {} for this lifter and lift",
      percent(zone.power_share),
      velocity(line, near_kg),
      zone.band->lowest_mps,
      zone.band->highest_mps,
      band_too_fast ? "fast" : "slow");
}

std::string unsure_in_words(const Zone& zone, double reference_kg) {
  const auto width = [](const ZoneEnd& end) {
    return end.interval_kg ? end.interval_kg->hi - end.interval_kg->lo
                           : std::numeric_limits<double>::infinity();
  };
  const double widest = std::max(width(zone.low), width(zone.high));
  if (std::isinf(widest)) return "the sets cannot tell how fast velocity falls with load";
  return fmt::format("its ends are known to ± {} % of the best single only",
                     percent(0.5 * widest / reference_kg));
}

std::optional<CommonPractice> common_practice(const Profile& profile,
                                              const Zone& zone,
                                              const ZoneOptions& options) {
  if (!zone.reference_kg) return std::nullopt;
  const VelocityLine& line = *prediction_line(profile);
  const double best_kg = *zone.reference_kg;
  CommonPractice out{.low_kg = options.common_low * best_kg,
                     .high_kg = options.common_high * best_kg,
                     .best_single_kg = best_kg,
                     .best_is_estimate = !profile.best.entered_kg,
                     .words = {}};
  const std::string practice =
      fmt::format("{} to {} %", percent(options.common_low), percent(options.common_high));
  // As far as the ends are known: a share within an end's interval may as well lie inside.
  const double from_kg = zone.low.interval_kg ? zone.low.interval_kg->lo : zone.low.load_kg;
  const double to_kg = zone.high.interval_kg ? zone.high.interval_kg->hi : zone.high.load_kg;
  const bool low_in = out.low_kg >= from_kg && out.low_kg <= to_kg;
  const bool high_in = out.high_kg >= from_kg && out.high_kg <= to_kg;
  if (low_in && high_in) {
    const bool surely = out.low_kg >= zone.low.load_kg && out.high_kg <= zone.high.load_kg;
    out.words = fmt::format("The common {} lies within this lifter's zone{}.",
                            practice,
                            surely ? "" : ", as far as its ends are known");
    return out;
  }
  if (out.low_kg > to_kg || (low_in && !high_in)) {
    const double load_kg = low_in ? out.high_kg : out.low_kg;
    out.words = fmt::format("{} of the common {} is too heavy for this lifter's zone: {}.",
                            low_in ? "The upper part" : "All",
                            practice,
                            too_heavy_because(line, zone, load_kg));
    return out;
  }
  if (out.high_kg < from_kg || high_in) {
    const double load_kg = high_in ? out.low_kg : out.high_kg;
    out.words = fmt::format("{} of the common {} is too light for this lifter's zone: {}.",
                            high_in ? "The lower part" : "All",
                            practice,
                            too_light_because(line, zone, load_kg));
    return out;
  }
  out.words = fmt::format("The zone is narrower than the common {}: at {} {}, and at {} {}.",
                          practice,
                          in_unit(out.low_kg, profile.unit),
                          too_light_because(line, zone, out.low_kg),
                          in_unit(out.high_kg, profile.unit),
                          too_heavy_because(line, zone, out.high_kg));
  return out;
}

std::optional<ZoneTest> zone_test(const Profile& profile,
                                  const Zone& zone,
                                  const ZoneOptions& options) {
  const VelocityLine* line = profile.line ? &*profile.line : nullptr;
  ZoneTest out;
  if (!zone.reference_kg) {
    out.words = std::string(
                    "Two sets of 2 each at a light load, one half as heavy again, and one "
                    "twice as heavy, on one day; and the best single entered in the roster.") +
                kStopEarly;
    return out;
  }
  const double reference_kg = *zone.reference_kg;
  if (line == nullptr) {
    for (const double share : {0.45, 0.60, 0.75}) {
      out.loads.push_back({share * reference_kg, share, 2});
    }
    out.words = sets_in_words(out, profile.unit) + "." + kStopEarly;
    return out;
  }
  const double wanted_kg = options.widest_share * reference_kg;
  const Candidate best = best_session(*line, zone, reference_kg, kAim * wanted_kg);
  out = session_of(best, reference_kg);
  out.words = sets_in_words(out, profile.unit) + " on one day.";
  if (best.width_kg > wanted_kg) {
    out.words += fmt::format(" One day will not do: it brings the ends to ± {} %; repeat it.",
                             percent(0.5 * best.width_kg / reference_kg));
  }
  out.words += kStopEarly;
  return out;
}

}  // namespace kinetics
