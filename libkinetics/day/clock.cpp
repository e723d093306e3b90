#include "libkinetics/day/clock.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "libkinetics/day/middle.h"
#include "libkinetics/day/pair_cost.h"

namespace kinetics::day_detail {
namespace {

constexpr std::size_t kCandidates = 4;
constexpr double kLeastAgreement = 0.3;  // of the best
constexpr double kStepPerSigma = 0.5;
constexpr double kMostSteps = 4000.0;  // days of stray times are not searched second by second
constexpr double kHopelessPoints = 12.0;

struct Vote {
  std::size_t set = 0;
  double began_s = 0.0;
  double weight = 0.0;
};

// One a pair that is not hopeless, by set.
std::vector<Vote> gather(const std::vector<FoundSet>& sets,
                         const std::vector<DayRow>& rows,
                         const std::vector<double>& body) {
  std::vector<Vote> out;
  for (std::size_t set = 0; set < sets.size(); ++set) {
    for (std::size_t row = 0; row < rows.size(); ++row) {
      const double points = body[set * rows.size() + row];
      if (!rows[row].start_s || points > kHopelessPoints) continue;
      out.push_back({set, *rows[row].start_s - sets[set].start_s, std::exp(-points)});
    }
  }
  return out;
}

// Each set has one vote, that of its best pair: it is one row at most.
double agreement(const std::vector<Vote>& votes, double began_s, double sigma_s) {
  double sum = 0.0;
  double best = 0.0;
  for (std::size_t i = 0; i < votes.size(); ++i) {
    const double z = (votes[i].began_s - began_s) / sigma_s;
    const double spread = 1.0 + z * z / 4.0;
    best = std::max(best, votes[i].weight / (spread * spread * std::sqrt(spread)));
    if (i + 1 < votes.size() && votes[i + 1].set == votes[i].set) continue;
    sum += best;
    best = 0.0;
  }
  return sum;
}

}  // namespace

std::vector<double> clock_candidates(const std::vector<FoundSet>& sets,
                                     const std::vector<DayRow>& rows,
                                     const std::vector<double>& body,
                                     const MatchOptions& options) {
  const std::vector<Vote> votes = gather(sets, rows, body);
  if (votes.empty()) return {};
  const auto [least, most] =
      std::minmax_element(votes.begin(), votes.end(), [](const Vote& a, const Vote& b) {
        return a.began_s < b.began_s;
      });
  const double span_s = most->began_s - least->began_s;
  const double step_s = std::max(kStepPerSigma * options.time_sigma_s, span_s / kMostSteps);
  const auto steps = static_cast<std::size_t>(span_s / step_s) + 2;
  std::vector<double> score(steps);
  for (std::size_t i = 0; i < steps; ++i) {
    const double began_s = least->began_s + static_cast<double>(i) * step_s;
    score[i] = agreement(votes, began_s, options.time_sigma_s) *
               std::exp(-clock_points(began_s, options) / static_cast<double>(sets.size()));
  }
  std::vector<std::size_t> peaks;
  for (std::size_t i = 0; i < steps; ++i) {
    if (i > 0 && score[i - 1] >= score[i]) continue;
    if (i + 1 < steps && score[i + 1] > score[i]) continue;
    peaks.push_back(i);
  }
  std::stable_sort(peaks.begin(), peaks.end(), [&](std::size_t a, std::size_t b) {
    return score[a] > score[b];
  });
  peaks.resize(std::min(peaks.size(), kCandidates));
  while (score[peaks.back()] < kLeastAgreement * score[peaks.front()]) peaks.pop_back();
  std::vector<double> out;
  out.reserve(peaks.size());
  for (const std::size_t i : peaks) out.push_back(least->began_s + static_cast<double>(i) * step_s);
  return out;
}

std::optional<double> began_by_matches(const std::vector<FoundSet>& sets,
                                       const std::vector<DayRow>& rows,
                                       const std::vector<std::optional<std::size_t>>& row_of) {
  std::vector<double> values;
  for (std::size_t set = 0; set < sets.size(); ++set) {
    if (!row_of[set] || !rows[*row_of[set]].start_s) continue;
    values.push_back(*rows[*row_of[set]].start_s - sets[set].start_s);
  }
  return middle(values);
}

double clock_points(std::optional<double> began_s, const MatchOptions& options) {
  if (!began_s || !options.recording_start_s) return 0.0;
  return misfit((*began_s - *options.recording_start_s) / options.clock_sigma_s);
}

}  // namespace kinetics::day_detail
