#include "libkinetics/profile/profile.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/estimate_line.h"
#include "libkinetics/profile/robust_line.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

// A mixed model of fewer lifters cannot tell how much lifters differ (common practice, no source).
constexpr int kFewestLifters = 4;
constexpr int kFewestOwnForCheck = 5;

void check(const ProfileOptions& o) {
  const auto refuse = [](const std::string& what, const std::string& mend) {
    throw Error(ErrorCode::kUsage, "profile options", what, mend);
  };
  if (!(o.half_life_days >= 0.0)) refuse("the half-life is below zero", "Give days, or 0 for none");
  if (!(o.outlier_deviations >= 0.0)) {
    refuse("the outliers' limit is below zero", "Give deviations, or 0 to keep every set");
  }
  if (!(o.least_scatter_mps >= 0.0) || !(o.assumed_scatter_mps > 0.0)) {
    refuse("a scatter is not above zero", "Give m/s, such as 0.03");
  }
}

Eigen::VectorXd column(const std::vector<ProfilePoint>& points, double ProfilePoint::*member) {
  Eigen::VectorXd out(static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i) {
    out(static_cast<Eigen::Index>(i)) = points[i].*member;
  }
  return out;
}

/// Marks outliers of the lifter's own robust line and returns its slope.
double set_wild_ones_aside(std::vector<ProfilePoint>& points, const ProfileOptions& options) {
  const RobustLine line = robust_line(
      column(points, &ProfilePoint::load_kg),
      column(points, &ProfilePoint::velocity_mps),
      column(points, &ProfilePoint::velocity_sigma_mps),
      {.deviations = options.outlier_deviations, .least_scale = options.least_scatter_mps});
  for (std::size_t i = 0; i < points.size(); ++i) points[i].set_aside = line.outlier[i];
  return line.slope;
}

std::string day_span(const std::vector<ProfilePoint>& points) {
  return points.size() == 1 ? "one set" : fmt::format("{} sets", points.size());
}

void fit_own(Profile& profile, const ProfileOptions& options, double& slope) {
  slope = 0.0;
  if (different_loads(profile.points) < 2) {
    profile.no_line =
        fmt::format("{} at one load only. Lift another load, 20 % of the best single or more away",
                    day_span(profile.points));
    return;
  }
  slope = set_wild_ones_aside(profile.points, options);
  const LineRows rows = line_rows(profile.points, 100.0, 0.0, slope);
  profile.assumed_scatter = rows.group.y.size() == 2;
  profile.own_line = own_line(rows, options.assumed_scatter_mps);
}

/// Profiles that can share one mixed model: same lift, bar and chains; boxes differ by lifter.
bool poolable(const Profile& a, const Profile& b) {
  return same_name(a.variant.lift, b.variant.lift) && same_name(a.variant.bar, b.variant.bar) &&
         same_name(a.variant.accommodating, b.variant.accommodating);
}

struct Member {
  Profile* profile = nullptr;
  double unit_kg = 1.0;
  double slope_mps_per_kg = 0.0;
};

int lifters_of(const std::vector<Member>& members) {
  std::vector<std::string> names;
  for (const Member& m : members) names.push_back(folded(m.profile->variant.lifter));
  std::sort(names.begin(), names.end());
  return static_cast<int>(std::unique(names.begin(), names.end()) - names.begin());
}

bool enough_to_pool(const std::vector<Member>& members) {
  if (lifters_of(members) < kFewestLifters) return false;
  std::size_t points = 0;
  int with_slope = 0;
  for (const Member& m : members) {
    points += m.profile->points.size();
    with_slope += m.profile->own_line ? 1 : 0;
  }
  return with_slope >= kFewestLifters - 1 && points >= 3 * members.size();
}

std::vector<LineRows> rows_of(const std::vector<Member>& members) {
  double sum = 0.0;
  double count = 0.0;
  for (const Member& m : members) {
    for (const ProfilePoint& p : m.profile->points) {
      sum += p.load_kg / m.unit_kg;
      count += 1.0;
    }
  }
  const double origin = sum / count;
  std::vector<LineRows> out;
  for (const Member& m : members) {
    out.push_back(line_rows(m.profile->points, m.unit_kg, origin, m.slope_mps_per_kg));
  }
  return out;
}

/// Of lifters with too few sets for a check of their own: sets far from what the club's line and
/// the lifter's other sets say. Returns whether any was.
bool set_strays_aside(const Member& m, const VelocityLine& line, const ProfileOptions& options) {
  if (!(options.outlier_deviations > 0.0)) return false;
  std::vector<ProfilePoint>& points = m.profile->points;
  const auto kept = std::count_if(
      points.begin(), points.end(), [](const ProfilePoint& p) { return !p.set_aside; });
  if (kept >= kFewestOwnForCheck || kept < 2) return false;
  bool any = false;
  for (ProfilePoint& p : points) {
    if (p.set_aside) continue;
    const VelocityAt at = velocity_at(line, p.load_kg);
    const double variance = std::pow(std::max(line.scatter_mps, options.least_scatter_mps), 2) +
                            std::pow(line.day_scatter_mps, 2) + std::pow(p.velocity_sigma_mps, 2);
    if (std::abs(p.velocity_mps - at.velocity_mps) >
        options.outlier_deviations * std::sqrt(variance)) {
      p.set_aside = true;
      any = true;
    }
  }
  return any;
}

void pool(std::vector<Member> members, const ProfileOptions& options) {
  constexpr int kRounds = 3;
  for (int round = 0; round < kRounds; ++round) {
    if (!enough_to_pool(members)) return;
    const std::vector<LineRows> rows = rows_of(members);
    const ClubLine club = club_line(rows);
    const int lifters = lifters_of(members);
    bool again = false;
    for (std::size_t i = 0; i < members.size(); ++i) {
      Profile& p = *members[i].profile;
      p.line = leaning_line(club, i, rows[i]);
      p.pooled_lifters = lifters;
      p.assumed_scatter = false;
      again = set_strays_aside(members[i], *p.line, options) || again;
    }
    if (!again) return;
  }
}

void pool_all(std::vector<Profile>& profiles,
              const std::vector<double>& slopes,
              const ProfileOptions& options) {
  std::vector<bool> done(profiles.size(), false);
  for (std::size_t i = 0; i < profiles.size(); ++i) {
    if (done[i]) continue;
    std::vector<Member> members;
    for (std::size_t j = i; j < profiles.size(); ++j) {
      if (!poolable(profiles[i], profiles[j])) continue;
      done[j] = true;
      Profile& p = profiles[j];
      // Lifters of different strength are alike over shares of their best, not over kilograms.
      if (!p.best_single_kg || p.points.empty()) continue;
      members.push_back({&p, *p.best_single_kg, slopes[j]});
    }
    pool(std::move(members), options);
  }
}

void finish(Profile& profile) {
  if (!profile.line) profile.line = profile.own_line;
  if (!profile.line) return;
  profile.no_line.clear();
  for (ProfilePoint& p : profile.points) {
    p.residual_mps = p.velocity_mps - velocity_at(*profile.line, p.load_kg).velocity_mps;
  }
  if (profile.line->slope_mps_per_kg < 0.0) return;
  profile.no_line =
      "velocity does not fall with load in these sets. Look at the loads on the sheet";
  profile.line.reset();
}

}  // namespace

ClubProfiles fit_profiles(const std::vector<LiftedSet>& sets,
                          const Roster* roster,
                          const ProfileOptions& options) {
  check(options);
  ClubProfiles out;
  int without_point = 0;
  for (VariantPoints& v :
       profile_points(sets, options.axis, options.reps, options.half_life_days)) {
    without_point += v.without_point;
    if (v.points.empty()) continue;
    Profile profile;
    profile.variant = std::move(v.variant);
    profile.axis = options.axis;
    profile.points = std::move(v.points);
    const Lifter* lifter = roster ? find_lifter(*roster, profile.variant.lifter) : nullptr;
    const LifterLift* entry =
        lifter
            ? find_lift(
                  *lifter, profile.variant.lift, profile.variant.bar, profile.variant.box_height_m)
            : nullptr;
    if (entry != nullptr) profile.best_single_kg = entry->best_single_kg;
    out.profiles.push_back(std::move(profile));
  }
  if (without_point > 0) {
    out.notes.push_back({NoteKind::kCaution,
                         fmt::format("{} set{} left out: no full rep was measured, or the {} is "
                                     "not known.",
                                     without_point,
                                     without_point == 1 ? " is" : "s are",
                                     in_words(options.axis))});
  }
  std::vector<double> slopes(out.profiles.size(), 0.0);
  for (std::size_t i = 0; i < out.profiles.size(); ++i) {
    fit_own(out.profiles[i], options, slopes[i]);
  }
  if (options.pooling == Pooling::kClub) pool_all(out.profiles, slopes, options);
  for (Profile& p : out.profiles) finish(p);
  return out;
}

const Profile* find_profile(const ClubProfiles& club,
                            const std::string& lifter,
                            const std::string& lift,
                            const std::string& bar,
                            std::optional<double> box_height_m) {
  constexpr double kSameBoxM = 0.006;
  const Profile* best = nullptr;
  for (const Profile& p : club.profiles) {
    const LiftVariant& v = p.variant;
    if (!lifter.empty() && !same_name(lifter, v.lifter)) continue;
    if (!lift.empty() && !same_name(lift, v.lift)) continue;
    if (!bar.empty() && !same_name(bar, v.bar)) continue;
    if (box_height_m &&
        (!v.box_height_m || std::abs(*box_height_m - *v.box_height_m) >= kSameBoxM)) {
      continue;
    }
    if (best == nullptr || p.points.size() > best->points.size()) best = &p;
  }
  return best;
}

}  // namespace kinetics
