#include "libkinetics/tracking/source_clock.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "libkinetics/core/median.h"
#include "libkinetics/core/off_parabola.h"

namespace kinetics {
namespace {

/// What cameras' rates are off by, as a share: 0.1 % in 29.97 for 30, and their clocks 0.02 %.
constexpr double kRateOff = 0.0015;
/// Where the bar moves this fast a picture beside its time shows, m/s.
constexpr double kFastMps = 0.3;
constexpr std::size_t kFewestFours = 30;
/// Neighbours farther apart tell too little of each other, s.
constexpr double kNearS = 0.15;
/// The rate is first sought in so many seconds, then in twice as many, and so on.
constexpr double kFirstSpanS = 16.0;
/// Rates beside each other put pictures at a span's ends this share of a frame apart.
constexpr double kStep = 0.15;
constexpr int kPhases = 12;
constexpr int kFinerSteps = 2;
/// A clock must leave less than this share of what pictures stray by their stamps.
constexpr double kLeaves = 0.6;
constexpr double kFartherPrice = 0.03;  ///< of the time it is farther
constexpr double kSameS = 1e-4;
/// A clock whose rate is a whole multiple of the stamps' or they of it, to within this, explains
/// nothing.
constexpr double kMultiple = 0.008;

/// Four sightings in a row of a bar that moves fast.
struct Four {
  std::array<double, 4> t_s{}, y_m{};
  double velocity_mps = 0.0;
};

std::vector<Four> fast_fours(const BarPath& path) {
  std::vector<const PathPoint*> seen;
  for (const PathPoint& p : path.points) {
    if (p.seen) seen.push_back(&p);
  }
  std::vector<Four> out;
  for (std::size_t i = 0; i + 3 < seen.size(); ++i) {
    Four four;
    bool near = true;
    for (std::size_t k = 0; k < 4; ++k) {
      four.t_s[k] = seen[i + k]->t_s;
      four.y_m[k] = seen[i + k]->y_m;
      near = near && (k == 0 || four.t_s[k] - four.t_s[k - 1] < kNearS);
    }
    four.velocity_mps = std::abs(four.y_m[3] - four.y_m[0]) / (four.t_s[3] - four.t_s[0]);
    if (near && four.velocity_mps > kFastMps) out.push_back(four);
  }
  return out;
}

/// How far off the others' parabola the inner two are, as a time, each counted up to `most_s`. Of
/// two pictures taken at one moment, what they differ by.
double stray_s(const Four& four, const std::array<double, 4>& taken_s, double most_s) {
  for (std::size_t k = 1; k < 4; ++k) {
    if (taken_s[k] < taken_s[k - 1] - kSameS) return most_s;
    if (taken_s[k] < taken_s[k - 1] + kSameS) {
      const double off_s = std::abs(four.y_m[k] - four.y_m[k - 1]) / four.velocity_mps;
      return std::min(most_s, off_s * std::numbers::sqrt2 / 2.0);
    }
  }
  double sum = 0.0;
  for (const std::size_t own : {std::size_t{1}, std::size_t{2}}) {
    const auto weights = off_parabola_weights(taken_s, own);
    double off_m = 0.0;
    double norm2 = 0.0;
    for (std::size_t j = 0; j < 4; ++j) {
      off_m += weights[j] * four.y_m[j];
      norm2 += weights[j] * weights[j];
    }
    sum += std::min(most_s, std::abs(off_m) / std::sqrt(norm2) / four.velocity_mps);
  }
  return 0.5 * sum;
}

/// The same by a clock: of a picture between two of its moments either may be the one.
double stray_s(const Four& four, const SourceClock& clock, double most_s) {
  std::array<double, 4> nearest_s{}, other_s{};
  std::array<bool, 4> either{};
  for (std::size_t k = 0; k < 4; ++k) {
    nearest_s[k] = clock.nearest_s(four.t_s[k]);
    const double off_s = four.t_s[k] - nearest_s[k];
    other_s[k] = nearest_s[k] + std::copysign(1.0 / clock.rate_hz, off_s);
    either[k] = std::abs(off_s) * clock.rate_hz > kEither;
  }
  double least_s = most_s;
  for (unsigned choice = 0; choice < 16; ++choice) {
    std::array<double, 4> taken_s = nearest_s;
    bool allowed = true;
    double farther_s = 0.0;
    for (unsigned k = 0; k < 4; ++k) {
      if ((choice >> k & 1U) == 0) continue;
      allowed = allowed && either[k];
      taken_s[k] = other_s[k];
      farther_s += std::abs(four.t_s[k] - other_s[k]) - std::abs(four.t_s[k] - nearest_s[k]);
    }
    if (!allowed) continue;
    least_s = std::min(least_s, stray_s(four, taken_s, most_s) + kFartherPrice * farther_s);
  }
  return least_s;
}

struct Fit {
  SourceClock clock;
  double stray_s = 0.0;
};

struct Fours {
  std::vector<Four> all;
  double interval_s = 0.0;
  double middle_s = 0.0;
  double span_s = 0.0;

  /// Those within so many seconds about the middle one.
  [[nodiscard]] std::vector<Four> within(double seconds) const {
    std::vector<Four> out;
    for (const Four& f : all) {
      if (std::abs(f.t_s[0] - middle_s) <= 0.5 * seconds) out.push_back(f);
    }
    return out;
  }
};

Fours fours_of(const BarPath& path) {
  Fours out{.all = fast_fours(path)};
  if (out.all.empty()) return out;
  std::vector<double> intervals_s;
  std::vector<double> begins_s;
  for (const Four& f : out.all) {
    intervals_s.push_back(f.t_s[1] - f.t_s[0]);
    begins_s.push_back(f.t_s[0]);
  }
  out.interval_s = median_of(intervals_s);
  out.middle_s = median_of(begins_s);
  out.span_s =
      2.0 * std::max(out.middle_s - out.all.front().t_s[0], out.all.back().t_s[0] - out.middle_s);
  return out;
}

Fit fit_of(const SourceClock& clock, const std::vector<Four>& fours, double most_s) {
  Fit out{.clock = clock};
  for (const Four& four : fours) out.stray_s += stray_s(four, clock, most_s);
  out.stray_s /= static_cast<double>(fours.size());
  return out;
}

void try_rate(double rate_hz, const Fours& fours, const std::vector<Four>& some, Fit& best) {
  for (int k = 0; k < kPhases; ++k) {
    const SourceClock clock{rate_hz, fours.middle_s + k / (kPhases * rate_hz)};
    const Fit fit = fit_of(clock, some, 0.5 * fours.interval_s);
    if (fit.stray_s < best.stray_s) best = fit;
  }
}

Fit best_at(double rate_hz, const Fours& fours) {
  Fit best{.clock = {.rate_hz = rate_hz}, .stray_s = fours.interval_s};
  try_rate(rate_hz, fours, fours.all, best);
  return best;
}

/// In some seconds first, then about the best of those in twice as many, and so on.
Fit best_about(double usual_hz, const Fours& fours) {
  double span_s = std::min(kFirstSpanS, fours.span_s);
  double step_hz = kStep / span_s;
  int steps = static_cast<int>(std::ceil(kRateOff * usual_hz / step_hz));
  Fit best{.clock = {.rate_hz = usual_hz}};
  while (true) {
    const std::vector<Four> some = fours.within(span_s);
    const double about_hz = best.clock.rate_hz;
    best.stray_s = fours.interval_s;
    for (int i = -steps; i <= steps; ++i) try_rate(about_hz + i * step_hz, fours, some, best);
    if (span_s >= fours.span_s) return best;
    span_s = std::min(2.0 * span_s, fours.span_s);
    step_hz = kStep / span_s;
    steps = kFinerSteps;
  }
}

bool is_multiple(double rates) {
  return std::abs(rates - std::round(rates)) < kMultiple * rates;
}

}  // namespace

double SourceClock::nearest_s(double t_s) const {
  return at_s + std::round((t_s - at_s) * rate_hz) / rate_hz;
}

std::vector<SourceClock> source_clocks(const BarPath& path) {
  const Fours fours = fours_of(path);
  if (fours.all.size() < kFewestFours) return {};
  double by_stamps_s = 0.0;
  for (const Four& f : fours.all) by_stamps_s += stray_s(f, f.t_s, 0.5 * fours.interval_s);
  by_stamps_s /= static_cast<double>(fours.all.size());
  std::vector<SourceClock> out;
  for (const double usual_hz : kSourceRates_hz) {
    if (is_multiple(usual_hz * fours.interval_s)) continue;
    for (const Fit& fit : {best_at(usual_hz, fours),
                           best_at(usual_hz / 1.001, fours),
                           best_about(usual_hz, fours)}) {
      if (fit.stray_s < kLeaves * by_stamps_s) out.push_back(fit.clock);
    }
  }
  return out;
}

}  // namespace kinetics
