#include "libkinetics/profile/best_single.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "libkinetics/profile/profile.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/roster/roster.h"

namespace kinetics {
namespace {

// Lighter singles are moved too far along the line (common practice, no source).
constexpr double kHeavyShare = 0.90;
// From lifter to lifter (F. Conceição et al., J Sports Sci 2016; 34: 0.05 to 0.06 m/s).
constexpr double kCommonSigmaMps = 0.05;

std::optional<BestVelocity> measured_singles(const Profile& profile) {
  if (!profile.best_single_kg || !profile.line) return std::nullopt;
  const double best_kg = *profile.best_single_kg;
  const VelocityLine& line = *profile.line;
  const double at_best = velocity_at(line, best_kg).velocity_mps;
  double sum = 0.0;
  double measured_variance = 0.0;
  int count = 0;
  for (const ProfilePoint& p : profile.points) {
    if (p.set_aside || p.full_reps != 1 || p.load_kg < kHeavyShare * best_kg) continue;
    // Moved along the line to the best single's load.
    sum += p.velocity_mps + at_best - velocity_at(line, p.load_kg).velocity_mps;
    measured_variance += p.velocity_sigma_mps * p.velocity_sigma_mps;
    ++count;
  }
  if (count == 0) return std::nullopt;
  const auto n = static_cast<double>(count);
  const double scatter = line.scatter_mps * line.scatter_mps;
  const double day = line.day_scatter_mps * line.day_scatter_mps;
  // Singles of one day share the day: taken as if all were of one.
  const double variance = scatter / n + day + measured_variance / (n * n);
  return BestVelocity{.source = BestVelocitySource::kHeavySingles,
                      .velocity_mps = sum / n,
                      .sigma_mps = std::sqrt(variance),
                      .singles = count};
}

std::optional<BestVelocity> common_velocity(const std::string& lift) {
  const std::string name = folded(lift);
  const auto named = [&](std::string_view word) { return name.find(word) != std::string::npos; };
  std::optional<double> velocity_mps;
  if (named("bench")) velocity_mps = 0.17;
  if (named("squat")) velocity_mps = 0.30;
  if (named("deadlift")) velocity_mps = 0.15;
  if (!velocity_mps) return std::nullopt;
  return BestVelocity{.source = BestVelocitySource::kCommon,
                      .velocity_mps = *velocity_mps,
                      .sigma_mps = kCommonSigmaMps};
}

}  // namespace

std::string_view in_words(BestVelocitySource source) {
  switch (source) {
    case BestVelocitySource::kRoster:
      return "entered in the roster";
    case BestVelocitySource::kHeavySingles:
      return "from heavy singles";
    case BestVelocitySource::kCommon:
      return "a common figure, not this lifter's own";
  }
  return "";
}

BestSingle best_single(const Profile& profile, const LifterLift* entry) {
  BestSingle out;
  out.entered_kg = profile.best_single_kg;
  if (entry != nullptr && entry->best_single_mps) {
    out.velocity = BestVelocity{.source = BestVelocitySource::kRoster,
                                .velocity_mps = *entry->best_single_mps,
                                .sigma_mps = entry->best_single_sigma_mps};
  }
  if (!out.velocity) out.velocity = measured_singles(profile);
  if (!out.velocity) out.velocity = common_velocity(profile.variant.lift);
  if (!out.velocity) {
    out.missing =
        "The velocity of the best single is not known: add best_single_mps to the lift in the "
        "roster, or measure a heavy single";
    return out;
  }
  const VelocityLine* line = prediction_line(profile);
  if (line == nullptr) {
    out.missing = profile.no_line;
    return out;
  }
  const VelocityGoal goal{out.velocity->velocity_mps, out.velocity->sigma_mps};
  out.estimate_kg = load_at(*line, goal);
  if (const auto one_day = load_at(*line, goal, true)) out.one_day_kg = one_day->interval;
  if (!out.estimate_kg) out.missing = "The line does not come down to that velocity";
  out.beyond_lifted = out.estimate_kg && out.estimate_kg->value > line->heaviest_kg;
  return out;
}

std::string best_single_caution(const BestSingle& best) {
  std::string out =
      "An estimate is no reason to attempt a weight: that takes a warm-up, a qualified coach, "
      "safety "
      "bars set to the lift and trained spotters.";
  if (best.beyond_lifted) out += " This one lies beyond every load that was measured.";
  if (best.velocity && best.velocity->source == BestVelocitySource::kCommon) {
    out += " It leans on a velocity common to lifters in general, which may not be this lifter's.";
  }
  return out;
}

}  // namespace kinetics
