#include "libkinetics/kinematics/reps.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/kinematics/given_rises.h"
#include "libkinetics/kinematics/judge_rises.h"
#include "libkinetics/kinematics/phases.h"
#include "libkinetics/kinematics/rep_metrics.h"
#include "libkinetics/kinematics/rep_shape.h"
#include "libkinetics/kinematics/sticking.h"

namespace kinetics {
namespace {

// One-sided 95 % quantile of the normal distribution.
constexpr double kOneSided95 = 1.6448536;
// A rise this much shorter than the set's is no full rep.
constexpr double kFullShare = 0.75;
constexpr double kLockoutShare = 0.8;

void check_options(const RepOptions& o) {
  const auto refuse = [](const char* what, const char* must) {
    throw Error(ErrorCode::kUsage, what, must, "Leave it out for the usual value");
  };
  if (!(o.threshold_mps > 0.0)) refuse("velocity threshold", "it must be positive");
  if (!(o.min_rise_m > 0.0)) refuse("least rise", "it must be positive");
  if (!(o.set_gap_s > 0.0)) refuse("rest between sets", "it must be positive");
  if (!(o.slowed_loss > 0.0 && o.slowed_loss < 1.0)) {
    refuse("velocity loss of a slowed rep", "it must lie between 0 and 1");
  }
}

// Numbers sets and reps; returns where each set begins.
std::vector<std::size_t> split_sets(std::vector<MeasuredRep>& reps, double set_gap_s) {
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const bool rested = i > 0 && reps[i].rep.start_s - reps[i - 1].rep.end_s >= set_gap_s;
    if (i == 0 || rested) starts.push_back(i);
    reps[i].rep.set = static_cast<int>(starts.size());
    reps[i].rep.number = static_cast<int>(i - starts.back()) + 1;
  }
  return starts;
}

// Partial: short at the bottom, or short at the top with more reps to come. Failed: never reached
// the lockout, and the set ended with it.
void judge_kind(MeasuredRep& m, double usual_rise, double lockout_m, bool last_of_set) {
  const Rise& rise = m.rise;
  const double reference = std::max(usual_rise, 0.0);
  // Short by more than the measurement explains.
  const double unsure_m = m.rep.rom_m ? kOneSided95 * m.rep.rom_m.sigma() : 0.0;
  if (rise.up.gain_m + unsure_m >= kFullShare * reference) return;
  const bool locked_out =
      rise.up.gain_m + (rise.low_m) >= lockout_m - (1.0 - kLockoutShare) * reference;
  const bool fell = rise.drop_after_m >= 0.5 * rise.up.gain_m || rise.last_of_clip;
  m.rep.kind = !locked_out && last_of_set && fell ? RepKind::kFailed : RepKind::kPartial;
}

void judge_kinds(std::vector<MeasuredRep>& reps, std::size_t first, std::size_t end) {
  double usual = 0.0;
  double lockout = -INFINITY;
  std::vector<double> gains;
  for (std::size_t i = first; i < end; ++i) gains.push_back(reps[i].rise.up.gain_m);
  std::sort(gains.begin(), gains.end());
  usual = gains[gains.size() * 3 / 4];
  // With one rep there is nothing to compare with but its own way down.
  if (end - first == 1) usual = std::max(usual, reps[first].rise.drop_before_m);
  for (std::size_t i = first; i < end; ++i) {
    if (reps[i].rise.up.gain_m >= kFullShare * usual)
      lockout = std::max(lockout, reps[i].rise.high_m);
  }
  if (end - first == 1) lockout = reps[first].rise.low_m + usual;
  for (std::size_t i = first; i < end; ++i) {
    judge_kind(reps[i], usual, lockout, i + 1 == end);
  }
}

// Velocity loss from the fastest rep (Sánchez-Medina & González-Badillo, Med Sci Sports Exerc
// 2011; 43:1725-1734). The scale's error is the same in both and cancels.
void compare_with_fastest(std::vector<MeasuredRep>& reps,
                          std::size_t first,
                          std::size_t end,
                          double slowed_loss) {
  const MeasuredRep* best = nullptr;
  for (std::size_t i = first; i < end; ++i) {
    const MeasuredRep& m = reps[i];
    if (m.rep.kind != RepKind::kFull || !m.rep.mean_velocity_mps) continue;
    if (best == nullptr || m.rep.mean_velocity_mps.value() > best->rep.mean_velocity_mps.value()) {
      best = &m;
    }
  }
  for (std::size_t i = first; i < end; ++i) {
    MeasuredRep& m = reps[i];
    if (best == nullptr || m.rep.kind == RepKind::kFailed || !m.rep.mean_velocity_mps) continue;
    if (&m == best) {
      m.rep.velocity_loss = Measured(0.0, 0.0);
      continue;
    }
    const double top = best->rep.mean_velocity_mps.value();
    const double ratio = m.rep.mean_velocity_mps.value() / top;
    const double sigma =
        std::hypot(m.own_mean_sigma_mps / top, ratio * best->own_mean_sigma_mps / top);
    m.rep.velocity_loss = Measured(1.0 - ratio, sigma);
    const double beyond = 1.0 - ratio - slowed_loss;
    if (m.rep.kind != RepKind::kFull) continue;
    if (beyond > kOneSided95 * sigma) {
      m.rep.flags.push_back(FlagKind::kSlowed);
    } else if (beyond > -kOneSided95 * sigma) {
      m.rep.flags.push_back(FlagKind::kMaybeSlowed);
    }
  }
}

void flag_kind(MeasuredRep& m) {
  if (m.rep.kind == RepKind::kPartial) m.rep.flags.push_back(FlagKind::kPartial);
  if (m.rep.kind == RepKind::kFailed) m.rep.flags.push_back(FlagKind::kFailed);
  if (m.hidden) m.rep.flags.push_back(FlagKind::kNotMeasured);
}

// A rise much shorter than the set's others is a partial or failed rep, and hardly faster than
// most; and nobody lifts one rep of a set half as fast again as the next one. What does was
// probably something else that was taken for the bar (common practice, no source).
void doubt_strangers(const std::vector<Rep>& reps, Notes& notes) {
  constexpr std::size_t kFewestToCompare = 3;
  constexpr double kShorter = 0.6;
  constexpr double kFaster = 1.1;
  constexpr double kMuchFaster = 1.5;
  for (const Rep& rep : reps) {
    if (!rep.mean_velocity_mps || !rep.rom_m) continue;
    std::vector<double> means, ranges;
    for (const Rep& other : reps) {
      if (&other == &rep || other.set != rep.set || !other.mean_velocity_mps || !other.rom_m) {
        continue;
      }
      means.push_back(other.mean_velocity_mps.value());
      ranges.push_back(other.rom_m.value());
    }
    if (means.size() + 1 < kFewestToCompare) continue;
    const double mean_mps = median_of(means);
    const double range_m = median_of(ranges);
    const Measured& mean = rep.mean_velocity_mps;
    const double surely_mps = mean.value() - kOneSided95 * mean.sigma();
    const bool short_yet_fast =
        rep.rom_m.value() < kShorter * range_m && surely_mps > kFaster * mean_mps;
    const double next_mps = *std::max_element(means.begin(), means.end());
    if (!short_yet_fast && surely_mps < kMuchFaster * next_mps) continue;
    notes.push_back({NoteKind::kCaution,
                     fmt::format("Set {} rep {} rose {:.0f} cm at {:.2f} m/s, the set's others "
                                 "mostly {:.0f} cm at {:.2f} m/s: something else may have been "
                                 "taken for the bar there. Look at its path (--overlay), or point "
                                 "at the disc with --seed.",
                                 rep.set,
                                 rep.number,
                                 100.0 * rep.rom_m.value(),
                                 mean.value(),
                                 100.0 * range_m,
                                 mean_mps)});
  }
}

// Measures the rises, numbers them and holds those of a set against each other.
std::vector<Rep> measured_reps(const Motion& motion,
                               const std::vector<Rise>& rises,
                               const RepOptions& options) {
  std::vector<MeasuredRep> reps;
  reps.reserve(rises.size());
  for (const Rise& rise : rises) reps.push_back(measure(motion, rise, options.threshold_mps));
  const std::vector<std::size_t> starts = split_sets(reps, options.set_gap_s);
  for (std::size_t k = 0; k < starts.size(); ++k) {
    const std::size_t end = k + 1 < starts.size() ? starts[k + 1] : reps.size();
    judge_kinds(reps, starts[k], end);
    compare_with_fastest(reps, starts[k], end, options.slowed_loss);
  }
  std::vector<Rep> out;
  for (MeasuredRep& m : reps) {
    flag_kind(m);
    static_cast<RepSticking&>(m.rep) = rep_sticking(motion, m.rep);
    static_cast<RepShape&>(m.rep) = rep_shape(motion, m.rep);
    out.push_back(std::move(m.rep));
  }
  return out;
}

}  // namespace

std::string_view in_words(FlagKind flag) {
  switch (flag) {
    case FlagKind::kSlowed:
      return "slowed";
    case FlagKind::kMaybeSlowed:
      return "maybe-slowed";
    case FlagKind::kPartial:
      return "partial";
    case FlagKind::kFailed:
      return "failed";
    case FlagKind::kNotMeasured:
      return "not-measured";
  }
  return "unknown";
}

std::string_view in_words(RepKind kind) {
  switch (kind) {
    case RepKind::kFull:
      return "full";
    case RepKind::kPartial:
      return "partial";
    case RepKind::kFailed:
      return "failed";
  }
  return "unknown";
}

SetTable find_reps(const Motion& motion, const RepOptions& options) {
  check_options(options);
  SetTable table;
  if (motion.samples.size() < 2) return table;
  const std::vector<Rise> rises = find_rises(motion, options.threshold_mps, options.min_rise_m);
  table.reps = measured_reps(motion, keep_reps(rises, table.notes), options);
  doubt_strangers(table.reps, table.notes);
  return table;
}

std::vector<Rep> measure_reps(const Motion& motion,
                              std::span<const RepSpan> spans,
                              const RepOptions& options) {
  check_options(options);
  return measured_reps(motion, rises_of(motion, spans, options), options);
}

}  // namespace kinetics
