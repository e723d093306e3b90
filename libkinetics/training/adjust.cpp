#include "libkinetics/training/adjust.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/flags/certainty.h"

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;
constexpr double kMostNotMeasured = 0.25;  // share of the reps; common practice, no source
constexpr double kTooSmall = 1e-9;

/// How far a session lay above what was expected, or outside the zone. A zone has no error.
struct Difference {
  double beyond_mps = 0.0;  ///< above the expectation, or above the zone (below it negative)
  double sigma_mps = 0.0;   ///< of measurement and day
  double expectation_sigma_mps = 0.0;
  bool from_zone = false;
};

std::optional<Difference> difference_of(const DoneSession& done, const AdjustRule& rule) {
  if (!done.lifted.velocity_mps.ok()) return std::nullopt;
  const Measured& v = done.lifted.velocity_mps;
  Difference out;
  out.sigma_mps = std::hypot(v.sigma(), rule.day_sigma_mps);
  if (done.expected_mps.ok()) {
    out.beyond_mps = v.value() - done.expected_mps.value();
    out.expectation_sigma_mps = done.expected_mps.sigma();
    return out;
  }
  if (!done.zone) return std::nullopt;
  out.from_zone = true;
  if (v.value() > done.zone->highest_mps) out.beyond_mps = v.value() - done.zone->highest_mps;
  if (v.value() < done.zone->lowest_mps) out.beyond_mps = v.value() - done.zone->lowest_mps;
  return out;
}

/// Why a session's number is not good enough to raise a load; empty when it is.
std::string why_uncertain(const DoneSession& done, const AdjustRule& rule) {
  const LiftedSession& s = done.lifted;
  if (s.reps == 0 || !s.velocity_mps.ok()) return "no rep was measured";
  if (s.reps < rule.least_reps) {
    return fmt::format("only {} rep{} measured, {} are needed",
                       s.reps,
                       s.reps == 1 ? " was" : "s were",
                       rule.least_reps);
  }
  if (s.not_measured > kMostNotMeasured * (s.reps + s.not_measured)) {
    return fmt::format("{} of {} reps were not measured", s.not_measured, s.reps + s.not_measured);
  }
  if (!done.expected_mps.ok() && !done.zone) return "nothing is known of what to expect";
  return {};
}

std::string why_not_clean(const LiftedSession& s) {
  if (s.partial > 0)
    return fmt::format("{} rep{} partial", s.partial, s.partial == 1 ? " was" : "s were");
  if (s.slowed_sets > 0) {
    return fmt::format("{} of {} sets slowed beyond the limit", s.slowed_sets, s.sets);
  }
  return {};
}

double limit_of(const Difference& d, double margin_mps) {
  return d.from_zone ? 0.0 : margin_mps;
}

bool certainly_slow(const Difference& d, const AdjustRule& rule) {
  const double sigma = std::hypot(d.sigma_mps, d.expectation_sigma_mps);
  return certainty_beyond(-d.beyond_mps - limit_of(d, rule.lower_below_mps), sigma) ==
         Certainty::kCertain;
}

std::string numbers(const DoneSession& done) {
  const Measured& v = done.lifted.velocity_mps;
  std::string out = fmt::format("{}, {:.1f} kg: {:.3f} ± {:.3f} m/s",
                                day_in_words(done.lifted.day),
                                done.lifted.mean_load_kg,
                                v.value(),
                                kNormal95 * v.sigma());
  if (done.expected_mps.ok()) {
    return out + fmt::format(", {:.2f} ± {:.2f} expected",
                             done.expected_mps.value(),
                             kNormal95 * done.expected_mps.sigma());
  }
  if (done.zone) {
    return out +
           fmt::format(", zone {:.2f} to {:.2f}", done.zone->lowest_mps, done.zone->highest_mps);
  }
  return out;
}

/// Whether the last sessions were all too fast (`sign` 1) or too slow (-1), and certainly so
/// together.
bool certainly_off(const std::vector<DoneSession>& done,
                   std::size_t count,
                   double sign,
                   double margin_mps,
                   const AdjustRule& rule) {
  if (done.size() < count) return false;
  double beyond = 0.0;
  double variance = 0.0;
  double expectation = 0.0;
  for (std::size_t i = done.size() - count; i < done.size(); ++i) {
    const auto d = difference_of(done[i], rule);
    if (!d || sign * d->beyond_mps <= limit_of(*d, margin_mps)) return false;
    beyond += sign * d->beyond_mps - limit_of(*d, margin_mps);
    variance += d->sigma_mps * d->sigma_mps;
    // The expectation errs the same way each time: its error does not average out.
    expectation = std::max(expectation, d->expectation_sigma_mps);
  }
  const auto n = static_cast<double>(count);
  const double sigma = std::hypot(std::sqrt(variance) / n, expectation);
  return certainty_beyond(beyond / n, sigma) == Certainty::kCertain;
}

Adjustment moved(Move move, double offset, const AdjustRule& rule, std::string why) {
  Adjustment out{.move = move, .offset_share = offset, .why = std::move(why)};
  if (move == Move::kRaise) out.offset_share += rule.step_share;
  if (move == Move::kLower) out.offset_share -= rule.step_share;
  out.offset_share = std::clamp(out.offset_share, -rule.most_lower_share, rule.most_raise_share);
  if (move == Move::kHold || std::abs(out.offset_share - offset) > kTooSmall) return out;
  out.move = Move::kHold;
  out.why += move == Move::kRaise
                 ? ". The limit above the wave is reached: look at the best single"
                 : ". The limit below the wave is reached: look at the best single";
  return out;
}

/// A session whose number says nothing for a raise; the reason stands in `why`.
std::optional<std::string> bar_to_raise(const std::vector<DoneSession>& done,
                                        std::size_t count,
                                        const AdjustRule& rule) {
  for (std::size_t i = done.size() - count; i < done.size(); ++i) {
    const std::string day = day_in_words(done[i].lifted.day);
    if (const std::string why = why_uncertain(done[i], rule); !why.empty()) {
      return fmt::format("{}: {}", day, why);
    }
    if (const std::string why = why_not_clean(done[i].lifted); !why.empty()) {
      return fmt::format("{}: {}", day, why);
    }
  }
  return std::nullopt;
}

}  // namespace

std::string_view in_words(Move move) {
  switch (move) {
    case Move::kHold:
      return "hold";
    case Move::kRaise:
      return "raise";
    case Move::kLower:
      return "lower";
  }
  return "hold";
}

Adjustment adjust(const std::vector<DoneSession>& done, const AdjustRule& rule, bool taper) {
  if (done.empty()) return {.why = "Nothing lifted yet in this wave: the wave's own load"};
  const DoneSession& last = done.back();
  const double offset =
      std::clamp(last.offset_share, -rule.most_lower_share, rule.most_raise_share);
  if (last.lifted.failed > 0) {
    return moved(Move::kLower,
                 offset,
                 rule,
                 fmt::format("{}: {} rep{} failed",
                             day_in_words(last.lifted.day),
                             last.lifted.failed,
                             last.lifted.failed == 1 ? "" : "s"));
  }
  if (const std::string why = why_uncertain(last, rule); !why.empty()) {
    return {.offset_share = std::min(offset, last.offset_share),
            .why = fmt::format("{}: {}", day_in_words(last.lifted.day), why)};
  }
  const Difference d = *difference_of(last, rule);
  if (certainly_slow(d, rule)) {
    return moved(Move::kLower, offset, rule, numbers(last) + ": certainly too slow");
  }
  const auto wanted = static_cast<std::size_t>(rule.sessions_to_raise);
  if (certainly_off(done, wanted, -1.0, rule.lower_below_mps, rule)) {
    return moved(Move::kLower,
                 offset,
                 rule,
                 fmt::format("{}: certainly too slow, {} in a row", numbers(last), wanted));
  }
  const bool fast = d.beyond_mps > limit_of(d, rule.raise_above_mps);
  if (!fast) return {.offset_share = offset, .why = numbers(last) + ": no certain difference"};
  if (done.size() < wanted) {
    return {.offset_share = offset,
            .why = fmt::format("{}: faster, but once is not enough", numbers(last))};
  }
  if (const auto why = bar_to_raise(done, wanted, rule))
    return {.offset_share = offset, .why = *why};
  if (!certainly_off(done, wanted, 1.0, rule.raise_above_mps, rule)) {
    return {.offset_share = offset,
            .why = numbers(last) + ": faster, but not certainly so over the last sessions"};
  }
  if (taper) return {.offset_share = offset, .why = "Fast, but nothing is raised before the meet"};
  return moved(Move::kRaise,
               offset,
               rule,
               fmt::format("{}: certainly faster, {} in a row", numbers(last), wanted));
}

std::string rule_in_words(const AdjustRule& rule) {
  return fmt::format(
      "Rule: lower by {0:g} % of the best single after a failed rep, or when a session, or {2} in "
      "a row together, are certainly more than {1:.2f} m/s slower than expected; raise by {0:g} % "
      "when {2} in a row are faster by more than {3:.2f} m/s, their mean certainly; else hold. "
      "Certain: measurement, expectation and a day's usual ± {4:.2f} m/s explain it in less than 1 "
      "of 20 cases. Never raised on a number that is uncertain or not measured, on slowed or "
      "partial reps, or before the meet; never beyond {5:g} % above or {6:g} % below the wave.",
      kPercent * rule.step_share,
      rule.lower_below_mps,
      rule.sessions_to_raise == 1 ? "1 session"
                                  : fmt::format("{} sessions", rule.sessions_to_raise),
      rule.raise_above_mps,
      kNormal95 * rule.day_sigma_mps,
      kPercent * rule.most_raise_share,
      kPercent * rule.most_lower_share);
}

}  // namespace kinetics
