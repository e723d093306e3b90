#include "libkinetics/inertial/lockouts.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace kinetics {
namespace {

// A bar that comes back by this much has turned; drift between turns is less within a rep.
constexpr double kTurn_m = 0.10;
constexpr double kLeastTravel_m = 0.15;
// Travels of one set are alike within these shares of their middle one.
constexpr double kShortest = 0.6;
constexpr double kLongest = 1.6;
// Lockouts further apart in time belong to different sets.
constexpr double kSameSet_s = 15.0;
constexpr double kRestAccel_mps2 = 0.3;

struct Top {
  std::size_t at = 0;
  double travel_m = 0.0;  // up to it or down from it, the larger
};

// Highs of the heights with the lows between them, by how far the bar comes back.
std::vector<Top> find_tops(const LogStates& states) {
  std::vector<Top> out;
  std::size_t high = 0;
  std::size_t low = 0;
  int heading = 0;
  double last_low = 0.0;
  bool have_low = false;
  const auto h = [&](std::size_t i) { return states.states[i][at::kHeight]; };
  const auto top_found = [&](std::size_t i, std::optional<double> next_low) {
    double travel = have_low ? h(i) - last_low : 0.0;
    if (next_low) travel = std::max(travel, h(i) - *next_low);
    out.push_back({i, travel});
  };
  for (std::size_t i = 0; i < states.states.size(); ++i) {
    if (h(i) > h(high)) high = i;
    if (h(i) < h(low)) low = i;
    if (heading >= 0 && h(high) - h(i) >= kTurn_m) {
      top_found(high, std::nullopt);
      heading = -1;
      low = high = i;
    } else if (heading <= 0 && h(i) - h(low) >= kTurn_m) {
      if (!out.empty()) out.back().travel_m = std::max(out.back().travel_m, h(out.back().at) - h(low));
      last_low = h(low);
      have_low = true;
      heading = 1;
      high = low = i;
    }
  }
  if (heading == 1) top_found(high, std::nullopt);
  if (heading == -1 && !out.empty()) {
    out.back().travel_m = std::max(out.back().travel_m, h(out.back().at) - h(low));
  }
  std::erase_if(out, [](const Top& t) { return t.travel_m < kLeastTravel_m; });
  return out;
}

double middle(std::vector<double> values) {
  const auto m = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), m, values.end());
  return *m;
}

}  // namespace

UpwardAssumptions assume_from(const std::vector<UpwardReading>& readings,
                              const LogStates& states,
                              const Trust& trust) {
  UpwardAssumptions out;
  out.at_rest.assign(readings.size(), 0);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const double sigma = std::sqrt(std::max(states.covariances[i](1, 1), 0.0));
    const bool slow = std::abs(states.states[i][at::kVelocity]) < trust.rest_mps + sigma;
    const bool even = std::abs(states.states[i][at::kAccel]) < kRestAccel_mps2;
    out.at_rest[i] = (readings[i].quiet || readings[i].lying) && slow && even ? 1 : 0;
  }
  const std::vector<Top> tops = find_tops(states);
  for (std::size_t first = 0; first < tops.size();) {
    std::size_t end = first + 1;
    while (end < tops.size() &&
           readings[tops[end].at].t_s - readings[tops[end - 1].at].t_s <= kSameSet_s) {
      ++end;
    }
    std::vector<double> travels;
    for (std::size_t k = first; k < end; ++k) travels.push_back(tops[k].travel_m);
    const double usual = middle(travels);
    std::vector<std::size_t> alike;
    for (std::size_t k = first; k < end; ++k) {
      const double share = tops[k].travel_m / usual;
      if (share >= kShortest && share <= kLongest) alike.push_back(tops[k].at);
    }
    if (alike.size() >= 2) {
      std::vector<double> heights;
      for (const std::size_t i : alike) heights.push_back(states.states[i][at::kHeight]);
      const double level = middle(heights);
      for (const std::size_t i : alike) {
        const double off = (states.states[i][at::kHeight] - level) / trust.odd_lockout_m;
        out.lockouts.push_back(
            {i, trust.lockout_sigma_m * trust.lockout_sigma_m * (1.0 + off * off)});
      }
    }
    if (first > 0) out.new_sets.push_back(tops[first].at > 0 ? tops[first].at - 1 : 0);
    first = end;
  }
  out.bounded = true;
  return out;
}

}  // namespace kinetics
