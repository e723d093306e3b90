#include "libkinetics/training/lifted_session.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/flags/certainty.h"
#include "libkinetics/flags/expectation.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

constexpr double kSameBoxM = 0.006;  // two tape readings of one box
constexpr double kSameLoadKg = 0.05;

SetUp set_up_of(const LiftedSet& set) {
  return {.bar = set.bar, .box_height_m = set.box_height_m, .accommodating = set.accommodating};
}

/// Sets of one loading.
struct Loading {
  SetUp set_up;
  double stated_load_kg = 0.0;
  std::vector<const LiftedSet*> sets;
  std::size_t reps = 0;
};

/// All of one lifter, lift and day.
struct DayOfLift {
  CalendarDay day = {};
  std::string lifter;
  std::string lift;
  std::vector<Loading> loadings;
};

DayOfLift& day_for(std::vector<DayOfLift>& days, CalendarDay day, const LiftedSet& set) {
  for (DayOfLift& known : days) {
    if (known.day == day && same_name(known.lifter, set.lifter) && same_name(known.lift, set.lift))
      return known;
  }
  days.push_back({.day = day, .lifter = set.lifter, .lift = set.lift, .loadings = {}});
  return days.back();
}

void add_set(DayOfLift& day, const LiftedSet& set) {
  for (Loading& loading : day.loadings) {
    if (std::abs(loading.stated_load_kg - set.stated_load_kg) > kSameLoadKg) continue;
    if (!same_set_up(loading.set_up, set_up_of(set))) continue;
    loading.sets.push_back(&set);
    loading.reps += set.reps.size();
    return;
  }
  day.loadings.push_back({.set_up = set_up_of(set),
                          .stated_load_kg = set.stated_load_kg,
                          .sets = {&set},
                          .reps = set.reps.size()});
}

const Loading& main_loading(const DayOfLift& day) {
  return *std::max_element(
      day.loadings.begin(), day.loadings.end(), [](const Loading& a, const Loading& b) {
        return std::tie(a.reps, a.stated_load_kg) < std::tie(b.reps, b.stated_load_kg);
      });
}

bool slowed(const LiftedSet& set, double slowed_loss) {
  const LiftedRep* fastest = nullptr;
  const LiftedRep* slowest = nullptr;
  for (const LiftedRep& rep : set.reps) {
    if (rep.kind != RepKind::kFull || !rep.mean_velocity_mps.ok()) continue;
    const double v = rep.mean_velocity_mps.value();
    if (fastest == nullptr || v > fastest->mean_velocity_mps.value()) fastest = &rep;
    if (slowest == nullptr || v < slowest->mean_velocity_mps.value()) slowest = &rep;
  }
  if (fastest == nullptr || fastest == slowest) return false;
  const Measured& best = fastest->mean_velocity_mps;
  const Measured& worst = slowest->mean_velocity_mps;
  const double kept = (1.0 - slowed_loss) * best.value();
  const double sigma = std::hypot((1.0 - slowed_loss) * best.sigma(), worst.sigma());
  return certainty_beyond(kept - worst.value(), sigma) == Certainty::kCertain;
}

/// Weighted mean of the reps; see the header.
void take_mean(LiftedSession& out, const std::vector<Measured>& reps) {
  if (reps.empty()) {
    out.velocity_mps = Reason::kNotApplicable;
    return;
  }
  const auto n = static_cast<double>(reps.size());
  double plain_mean = 0.0;
  double own = 0.0;
  for (const Measured& rep : reps) {
    plain_mean += rep.value() / n;
    own += rep.sigma() * rep.sigma() / n;
  }
  double spread = 0.0;
  for (const Measured& rep : reps) spread += std::pow(rep.value() - plain_mean, 2);
  const double between = n > 1.0 ? std::max(0.0, spread / (n - 1.0) - own) : 0.0;
  double weights = 0.0;
  double sum = 0.0;
  constexpr double kLeastSigmaMps = 1e-4;  // a rep that claims no error at all
  for (const Measured& rep : reps) {
    const double sigma = std::max(rep.sigma(), kLeastSigmaMps);
    const double weight = 1.0 / (sigma * sigma + between);
    weights += weight;
    sum += weight * rep.value();
  }
  out.rep_sigma_mps = std::sqrt(between);
  out.velocity_mps = Measured(sum / weights, std::sqrt(1.0 / weights));
}

LiftedSession session_of(const DayOfLift& day, double slowed_loss) {
  const Loading& loading = main_loading(day);
  LiftedSession out{.day = day.day,
                    .lifter = day.lifter,
                    .lift = day.lift,
                    .set_up = loading.set_up,
                    .stated_load_kg = loading.stated_load_kg,
                    .velocity_mps = Reason::kNotApplicable,
                    .rom_m = std::nullopt};
  std::vector<Measured> reps;
  double rom = 0.0;
  int with_rom = 0;
  for (const LiftedSet* set : loading.sets) {
    ++out.sets;
    out.mean_load_kg += usual_mean_load_kg(*set) / static_cast<double>(loading.sets.size());
    out.slowed_sets += slowed(*set, slowed_loss) ? 1 : 0;
    for (const LiftedRep& rep : set->reps) {
      if (rep.kind == RepKind::kFailed) ++out.failed;
      if (rep.kind == RepKind::kPartial) ++out.partial;
      if (rep.kind != RepKind::kFull) continue;
      if (rep.mean_velocity_mps.ok()) {
        reps.push_back(rep.mean_velocity_mps);
      } else {
        ++out.not_measured;
      }
      if (!rep.rom_m.ok()) continue;
      rom += rep.rom_m.value();
      ++with_rom;
    }
  }
  out.reps = static_cast<int>(reps.size());
  if (with_rom > 0) out.rom_m = rom / with_rom;
  take_mean(out, reps);
  return out;
}

}  // namespace

bool same_set_up(const SetUp& a, const SetUp& b) {
  if (a.box_height_m.has_value() != b.box_height_m.has_value()) return false;
  if (a.box_height_m && std::abs(*a.box_height_m - *b.box_height_m) > kSameBoxM) return false;
  return same_name(a.bar, b.bar) && same_name(a.accommodating, b.accommodating);
}

LiftedSessions lifted_sessions(const std::vector<LiftedSet>& sets, double slowed_loss) {
  LiftedSessions out;
  std::vector<DayOfLift> days;
  int without_day = 0;
  for (const LiftedSet& set : sets) {
    const auto day = day_in(set.day);
    if (day) {
      add_set(day_for(days, *day, set), set);
    } else {
      ++without_day;
    }
  }
  if (without_day > 0) {
    out.notes.push_back({NoteKind::kCaution,
                         fmt::format("{} set{} left out: on which day {} lifted is not known.",
                                     without_day,
                                     without_day == 1 ? " is" : "s are",
                                     without_day == 1 ? "it was" : "they were")});
  }
  for (const DayOfLift& day : days) out.sessions.push_back(session_of(day, slowed_loss));
  std::stable_sort(
      out.sessions.begin(), out.sessions.end(), [](const LiftedSession& a, const LiftedSession& b) {
        return std::tie(a.day, a.lifter, a.lift) < std::tie(b.day, b.lifter, b.lift);
      });
  return out;
}

VelocityExpectation roster_expectation(const Roster& roster) {
  return [&roster](const std::string& lifter,
                   const std::string& lift,
                   const SetUp& set_up,
                   double mean_load_kg) -> Measured {
    const Lifter* const who = find_lifter(roster, lifter);
    if (who == nullptr) return Reason::kNotApplicable;
    const LifterLift* const entry = find_lift(*who, lift, set_up.bar, set_up.box_height_m);
    if (entry == nullptr) return Reason::kNotApplicable;
    return expected_velocity(entry->expected, mean_load_kg);
  };
}

VelocityExpectation profile_expectation(const ClubProfiles& profiles,
                                        VelocityExpectation otherwise) {
  return [&profiles, otherwise = std::move(otherwise)](const std::string& lifter,
                                                       const std::string& lift,
                                                       const SetUp& set_up,
                                                       double mean_load_kg) -> Measured {
    constexpr double kBeyond = 0.1;
    const Profile* const profile =
        find_profile(profiles, lifter, lift, set_up.bar, set_up.box_height_m);
    const bool known = profile != nullptr && profile->line &&
                       mean_load_kg >= (1.0 - kBeyond) * profile->line->lightest_kg &&
                       mean_load_kg <= (1.0 + kBeyond) * profile->line->heaviest_kg;
    if (!known) return otherwise(lifter, lift, set_up, mean_load_kg);
    const VelocityAt at = velocity_at(*profile->line, mean_load_kg);
    return {at.velocity_mps, (at.line_mps.hi - at.line_mps.lo) / (2.0 * kNormal95)};
  };
}

}  // namespace kinetics
