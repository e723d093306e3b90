#include "libkinetics/report/profile_words.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "libkinetics/report/unit_word.h"

namespace kinetics {

double in_unit(double kg, MassUnit unit) {
  return unit == MassUnit::kPound ? kg / kKilogramsPerPound : kg;
}

std::string rounded_load(double kg, MassUnit unit) {
  return fmt::format("{:.{}f}", in_unit(kg, unit), unit == MassUnit::kPound ? 0 : 1);
}

std::string load_words(double kg, MassUnit unit) {
  return fmt::format("{} {}", rounded_load(kg, unit), unit_word(unit));
}

std::string sets_and_days(const Profile& profile) {
  std::set<std::string> days;
  for (const ProfilePoint& p : profile.points) {
    if (!p.day.empty()) days.insert(p.day);
  }
  const std::size_t n = profile.points.size();
  std::string out = fmt::format("{} set{}", n, n == 1 ? "" : "s");
  if (days.empty()) return out;
  if (days.size() == 1) return out + fmt::format(" on {}", *days.begin());
  return out + fmt::format(" on {} days, {} to {}", days.size(), *days.begin(), *days.rbegin());
}

std::vector<double> round_loads_kg(const Profile& profile) {
  constexpr int kWanted = 6;
  double lightest = profile.points.front().load_kg;
  double heaviest = lightest;
  for (const ProfilePoint& p : profile.points) {
    lightest = std::min(lightest, p.load_kg);
    heaviest = std::max(heaviest, p.load_kg);
  }
  const double per = in_unit(1.0, profile.unit);
  const double wanted = (heaviest - lightest) * per / kWanted;
  double step = 2.5;
  for (const double nice : {5.0, 10.0, 20.0, 25.0, 50.0, 100.0}) {
    if (step < wanted) step = nice;
  }
  std::vector<double> out;
  const double last = std::ceil(heaviest * per / step - 1e-9) * step;
  for (double load = std::floor(lightest * per / step) * step; load <= last; load += step) {
    if (load > 0.0) out.push_back(load / per);
  }
  return out;
}

double share_base_kg(const Profile& profile) {
  if (profile.best.entered_kg) return *profile.best.entered_kg;
  return profile.best.estimate_kg ? profile.best.estimate_kg->value : 0.0;
}

std::string with_half(const Worked& worked, int decimals) {
  if (!worked.interval) return fmt::format("{:.{}f} ± ?", worked.value, decimals);
  const double half =
      std::max(worked.interval->hi - worked.value, worked.value - worked.interval->lo);
  return fmt::format("{:.{}f} ± {:.{}f}", worked.value, decimals, half, decimals);
}

std::string title_of(const Profile& profile) {
  return fmt::format("{}: {}", profile.variant.lifter, in_words(profile.variant));
}

std::string best_single_words(const Profile& profile) {
  const BestSingle& b = profile.best;
  std::string out;
  if (b.entered_kg) out = fmt::format("{} entered", load_words(*b.entered_kg, profile.unit));
  if (b.velocity) {
    if (!out.empty()) out += ". ";
    out += fmt::format("Its velocity {:.2f} ± {:.2f} m/s ({}",
                       b.velocity->velocity_mps,
                       kNormal95 * b.velocity->sigma_mps,
                       in_words(b.velocity->source));
    out += b.velocity->singles > 0 ? fmt::format(", {})", b.velocity->singles) : ")";
  }
  if (b.estimate_kg) {
    out += fmt::format(". Estimated {}", load_words(b.estimate_kg->value, profile.unit));
    if (b.estimate_kg->interval) {
      out += fmt::format(", {} to {}",
                         rounded_load(b.estimate_kg->interval->lo, profile.unit),
                         rounded_load(b.estimate_kg->interval->hi, profile.unit));
    } else {
      out += ", how surely cannot be told";
    }
    if (b.one_day_kg) {
      out += fmt::format("; on one day {} to {}",
                         rounded_load(b.one_day_kg->lo, profile.unit),
                         rounded_load(b.one_day_kg->hi, profile.unit));
    }
  } else if (!b.missing.empty()) {
    if (!out.empty()) out += ". ";
    out += "No estimate: " + b.missing;
  }
  return out + ".";
}

std::string drift_words(const Profile& profile) {
  if (!profile.drift) return "fewer than three days over three weeks: not told.";
  const Drift& d = *profile.drift;
  return fmt::format("{} at one load: {:+.3f} m/s a week ({:+.3f} to {:+.3f}) over {:.0f} weeks.",
                     in_words(d.word),
                     d.mps_per_week,
                     d.interval.lo,
                     d.interval.hi,
                     d.weeks);
}

std::string curve_words(const Profile& profile) {
  if (!profile.curve_test) return "straight; too few different loads to ask for a curve.";
  const double gain = profile.curve_test->gain;
  if (profile.curve_test->used) {
    return fmt::format(
        "curved: a curve fits better by {:.1f} (AICc; {:.0f} asked for).", gain, kCurveGain);
  }
  return fmt::format("straight: a curve gains {:.1f} (AICc; {:.0f} asked for).", gain, kCurveGain);
}

std::string pooling_words(const Profile& profile) {
  if (profile.pooled_lifters == 0) return "from this lifter's sets alone.";
  return fmt::format("leans on the sets of {} lifters, over shares of each one's best single.",
                     profile.pooled_lifters);
}

std::string set_aside_words(const Profile& profile, const ProfilePoint& point) {
  return fmt::format("{}set {}: {:.2f} m/s at {}, {:.2f} {} the line",
                     point.day.empty() ? "" : point.day + " ",
                     point.set,
                     point.velocity_mps,
                     load_words(point.load_kg, profile.unit),
                     std::abs(point.residual_mps),
                     point.residual_mps < 0.0 ? "below" : "above");
}

}  // namespace kinetics
