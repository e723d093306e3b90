#include "libkinetics/speed_day/shared_rises.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

/// Rises that begin within this of each other are one, s: two cameras' clocks part by some tenths
/// over an hour, and a slow start is seen a little sooner or later.
constexpr double kTogetherS = 0.3;
/// So many must fall together, and this share of those that could.
constexpr std::size_t kFewestTogether = 6;
constexpr double kShareTogether = 0.5;
/// No other offset may bring nearly as many together.
constexpr double kShareOfSecond = 0.6;
/// Offsets nearer to each other than this count as one place, and rises as one set, s.
constexpr double kOneSetS = 15.0;

/// How many of `b`, moved, lie within `a`'s time.
std::size_t within(const std::vector<double>& a, const std::vector<double>& b, double later_s) {
  return static_cast<std::size_t>(std::count_if(b.begin(), b.end(), [&](double t) {
    return t + later_s >= a.front() - kTogetherS && t + later_s <= a.back() + kTogetherS;
  }));
}

/// Of how many sets the rises are that fall together.
int sets_together(const std::vector<double>& a, const std::vector<double>& b, double later_s) {
  int sets = 0;
  double last_s = -INFINITY;
  for (const double s : a) {
    const bool shared = std::any_of(
        b.begin(), b.end(), [&](double t) { return std::abs(t + later_s - s) <= kTogetherS; });
    if (!shared) continue;
    sets += s - last_s >= kOneSetS ? 1 : 0;
    last_s = s;
  }
  return sets;
}

}  // namespace

std::optional<SharedRises> shared_rises(const std::vector<double>& a,
                                        const std::vector<double>& b) {
  if (a.size() < kFewestTogether || b.size() < kFewestTogether) return std::nullopt;
  std::vector<double> apart;
  apart.reserve(a.size() * b.size());
  for (const double s : a) {
    for (const double t : b) apart.push_back(s - t);
  }
  std::sort(apart.begin(), apart.end());
  std::size_t most = 0;
  std::size_t second = 0;
  double best_s = 0.0;
  std::size_t first = 0;
  for (std::size_t last = 0; last < apart.size(); ++last) {
    while (apart[last] - apart[first] > kTogetherS) ++first;
    const std::size_t count = last - first + 1;
    const double middle_s = apart[first + count / 2];
    // Reps follow each other evenly: one rep off, most of a set falls together too.
    const bool same_place = std::abs(middle_s - best_s) < kOneSetS;
    if (count > most) {
      if (!same_place) second = most;
      most = count;
      best_s = middle_s;
    } else if (!same_place) {
      second = std::max(second, count);
    }
  }
  const auto possible = static_cast<double>(std::min(within(a, b, best_s), within(b, a, -best_s)));
  const auto found = static_cast<double>(most);
  const bool sure = most >= kFewestTogether && found >= kShareTogether * possible &&
                    static_cast<double>(second) <= kShareOfSecond * found;
  if (!sure) return std::nullopt;
  return SharedRises{.later_s = best_s,
                     .together = most,
                     .sets = sets_together(a, b, best_s),
                     .share = found / possible};
}

}  // namespace kinetics
