#include "libkinetics/profile/profile.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/doubt.h"
#include "libkinetics/profile/estimate_line.h"
#include "libkinetics/profile/robust_line.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

// A mixed model of fewer lifters cannot tell how much lifters differ (common practice, no source).
constexpr int kFewestLifters = 4;

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

std::string counted_sets(const std::vector<ProfilePoint>& points) {
  return points.size() == 1 ? "one set" : fmt::format("{} sets", points.size());
}

void fit_own(Profile& profile, const ProfileOptions& options, double& slope) {
  slope = 0.0;
  if (different_loads(profile.points) < 2) {
    profile.no_line =
        fmt::format("{} at one load only. Lift another load, 20 % of the best single or more away",
                    counted_sets(profile.points));
    return;
  }
  slope = set_wild_ones_aside(profile.points, options);
  if (different_loads(profile.points) < 2) {
    profile.no_line = "without the sets that lie far off only one load is left. Lift another load";
    return;
  }
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

/// Lifters whose own sets cannot tell which of them is wild; see doubt.h.
std::vector<bool> doubted(const std::vector<Member>& members, const ProfileOptions& options) {
  std::vector<bool> out;
  for (const Member& m : members) {
    const bool by_own = can_tell_outliers(column(m.profile->points, &ProfilePoint::load_kg));
    out.push_back(options.outlier_deviations > 0.0 && !by_own);
  }
  return out;
}

void pool(const std::vector<Member>& members, const ProfileOptions& options) {
  if (!enough_to_pool(members)) return;
  const std::vector<LineRows> rows = rows_of(members);
  const ReadClub read = read_club(rows, doubted(members, options));
  const int lifters = lifters_of(members);
  for (std::size_t i = 0; i < members.size(); ++i) {
    Profile& p = *members[i].profile;
    p.line = leaning_line(read, i, rows[i]);
    p.pooled_lifters = lifters;
    p.assumed_scatter = false;
    if (read.readings[i].empty()) continue;
    const std::vector<double> doubt = wild_probabilities(read, i, p.points.size());
    for (std::size_t k = 0; k < doubt.size(); ++k) p.points[k].doubt = doubt[k];
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
    pool(members, options);
  }
}

/// Loads wide enough apart to tell a curve from a line.
bool curve_can_be_told(const Profile& profile) {
  constexpr int kFewestSets = 6;
  constexpr int kFewestLoads = 5;
  constexpr double kLeastSpread = 1.4;
  int kept = 0;
  for (const ProfilePoint& p : profile.points) kept += p.set_aside ? 0 : 1;
  return kept >= kFewestSets && different_loads(profile.points) >= kFewestLoads &&
         profile.own_line->heaviest_kg >= kLeastSpread * profile.own_line->lightest_kg;
}

bool falls(const VelocityLine& line) {
  const auto slope = [&](double load_kg) {
    return line.slope_mps_per_kg + 2.0 * line.bend_mps_per_kg2 * load_kg;
  };
  return slope(line.lightest_kg) < 0.0 && slope(line.heaviest_kg) < 0.0;
}

void try_curve(Profile& profile, const LineRows& rows, const ProfileOptions& options) {
  if (!curve_can_be_told(profile)) return;
  CurveTest test{.gain = aicc(rows, false) - aicc(rows, true)};
  if (test.gain >= kCurveGain) {
    const VelocityLine curve = own_line(rows, options.assumed_scatter_mps, true);
    test.used = falls(curve);
    if (test.used) profile.curve = curve;
  }
  profile.curve_test = test;
}

void find_drift(Profile& profile, const LineRows& rows) {
  constexpr double kLeastWeeks = 3.0;
  const std::optional<LineDrift> drift = line_drift(rows, kLeastWeeks);
  if (!drift) return;
  profile.drift = Drift{.mps_per_week = drift->mps_per_week,
                        .interval = drift->interval,
                        .weeks = drift->weeks,
                        .days = drift->days};
  if (drift->interval.lo > 0.0) profile.drift->word = DriftWord::kFaster;
  if (drift->interval.hi < 0.0) profile.drift->word = DriftWord::kSlower;
}

void write_notes(Profile& p) {
  const auto note = [&](NoteKind kind, std::string text) {
    p.notes.push_back({kind, std::move(text)});
  };
  const auto aside = std::count_if(
      p.points.begin(), p.points.end(), [](const ProfilePoint& q) { return q.set_aside; });
  if (aside > 0) {
    note(
        NoteKind::kDecision,
        fmt::format("{} of {} sets lie{} far from the others and {} set aside: shown, not counted.",
                    aside,
                    p.points.size(),
                    aside == 1 ? "s" : "",
                    aside == 1 ? "is" : "are"));
  }
  for (const ProfilePoint& q : p.points) {
    if (q.doubt <= 0.5) continue;
    note(NoteKind::kCaution,
         fmt::format("The set at {:g} kg{} lies far from where the club's lines have it and counts "
                     "for little: look at its load on the sheet.",
                     q.stated_load_kg,
                     q.day.empty() ? "" : " of " + q.day));
  }
  if (p.assumed_scatter) {
    note(NoteKind::kCaution,
         fmt::format("Two sets cannot tell how much sets scatter: {:.2f} m/s was taken.",
                     p.line->scatter_mps));
  }
  const auto with_gear = std::count_if(p.points.begin(), p.points.end(), [](const ProfilePoint& q) {
    return !q.accommodating.empty();
  });
  if (p.axis == LoadAxis::kMean && with_gear > 0 &&
      with_gear < static_cast<std::ptrdiff_t>(p.points.size())) {
    note(NoteKind::kDecision,
         fmt::format("{} sets with chains or bands and {} with straight weight share one line over "
                     "the mean load.",
                     with_gear,
                     static_cast<std::ptrdiff_t>(p.points.size()) - with_gear));
  }
  const bool one_day = std::all_of(p.points.begin(), p.points.end(), [&](const ProfilePoint& q) {
    return q.day == p.points.front().day;
  });
  if (one_day && p.pooled_lifters == 0) {
    note(NoteKind::kCaution,
         "All sets are of one day: how much days differ is not in the intervals.");
  }
}

void finish(Profile& profile, const LifterLift* entry, const ProfileOptions& options) {
  if (!profile.line) profile.line = profile.own_line;
  if (profile.line && !(profile.line->slope_mps_per_kg < 0.0)) {
    profile.no_line =
        "velocity does not fall with load in these sets. Look at the loads on the sheet";
    profile.line.reset();
  }
  if (profile.line) {
    profile.no_line.clear();
    if (profile.own_line) {
      const LineRows rows = line_rows(
          profile.points, profile.own_line->heaviest_kg, 0.5, profile.line->slope_mps_per_kg);
      try_curve(profile, rows, options);
      find_drift(profile, rows);
    }
    for (ProfilePoint& p : profile.points) {
      p.residual_mps =
          p.velocity_mps - velocity_at(*prediction_line(profile), p.load_kg).velocity_mps;
    }
    if (profile.axis == LoadAxis::kMean) profile.force = force_velocity(*profile.line);
    write_notes(profile);
  }
  profile.best = best_single(profile, entry);
}

MassUnit usual_unit(const std::vector<LiftedSet>& sets, const std::string& lifter) {
  int pounds = 0;
  int all = 0;
  for (const LiftedSet& set : sets) {
    if (!same_name(set.lifter, lifter)) continue;
    ++all;
    pounds += set.unit == MassUnit::kPound ? 1 : 0;
  }
  return 2 * pounds > all ? MassUnit::kPound : MassUnit::kKilogram;
}

const LifterLift* entry_of(const Roster* roster, const LiftVariant& v) {
  const Lifter* lifter = roster != nullptr ? find_lifter(*roster, v.lifter) : nullptr;
  if (lifter == nullptr) return nullptr;
  return find_lift(*lifter, v.lift, v.bar, v.box_height_m);
}

Profile start_profile(VariantPoints v,
                      const std::vector<LiftedSet>& sets,
                      const Roster* roster,
                      const ProfileOptions& options) {
  Profile out;
  out.variant = std::move(v.variant);
  out.axis = options.axis;
  out.unit = usual_unit(sets, out.variant.lifter);
  out.points = std::move(v.points);
  if (roster != nullptr) out.band = roster->thresholds.zone;
  if (const LifterLift* entry = entry_of(roster, out.variant)) {
    out.best_single_kg = entry->best_single_kg;
    if (entry->zone) out.band = entry->zone;
  }
  return out;
}

}  // namespace

std::string_view in_words(DriftWord word) {
  switch (word) {
    case DriftWord::kFaster:
      return "faster";
    case DriftWord::kSlower:
      return "slower";
    case DriftWord::kNoClearChange:
      return "no clear change";
  }
  return "";
}

const VelocityLine* prediction_line(const Profile& profile) {
  if (profile.curve) return &*profile.curve;
  return profile.line ? &*profile.line : nullptr;
}

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
    out.profiles.push_back(start_profile(std::move(v), sets, roster, options));
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
  for (Profile& p : out.profiles) finish(p, entry_of(roster, p.variant), options);
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
