#include "libkinetics/inertial/lockouts.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/core/median.h"

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
// Within this share of the travel from a turn the bar may rest.
constexpr double kNearTurn = 0.25;
constexpr double kRestAccel_mps2 = 0.3;

struct Top {
  std::size_t at = 0;
  double travel_m = 0.0;  // up to it or down from it, the larger
};

std::vector<Top> tops_of(const std::vector<UpwardReading>& readings,
                         const std::vector<Turn>& turns,
                         const LogStates& states) {
  std::vector<Top> out;
  const auto h = [&](std::size_t k) { return states.states[turns[k].at][at::kHeight]; };
  for (std::size_t k = 0; k < turns.size(); ++k) {
    if (!turns[k].high || readings[turns[k].at].handled) continue;
    double travel = 0.0;
    if (k > 0) travel = h(k) - h(k - 1);
    if (k + 1 < turns.size()) travel = std::max(travel, h(k) - h(k + 1));
    if (travel >= kLeastTravel_m) out.push_back({turns[k].at, travel});
  }
  return out;
}

// Calm half way between two turns is a bar that glides or grinds; calm near one is a rest.
std::vector<char> near_a_turn(const std::vector<Turn>& turns, const LogStates& states) {
  const std::size_t n = states.states.size();
  std::vector<char> out(n, 1);
  const auto h = [&](std::size_t i) { return states.states[i][at::kHeight]; };
  for (std::size_t k = 0; k + 1 < turns.size(); ++k) {
    const double from = h(turns[k].at);
    const double travel = h(turns[k + 1].at) - from;
    for (std::size_t i = turns[k].at; i < turns[k + 1].at; ++i) {
      const double share = (h(i) - from) / travel;
      out[i] = share < kNearTurn || share > 1.0 - kNearTurn ? 1 : 0;
    }
  }
  return out;
}

// Root mean square of the upward acceleration around each instant.
std::vector<double> unrest(const std::vector<UpwardReading>& readings, const LogStates& states) {
  constexpr double kHalf_s = 0.1;
  const std::size_t n = readings.size();
  std::vector<double> sum(n + 1, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    const double accel = states.states[i][at::kAccel];
    sum[i + 1] = sum[i] + accel * accel;
  }
  std::vector<double> out(n);
  std::size_t first = 0;
  std::size_t last = 0;
  for (std::size_t i = 0; i < n; ++i) {
    while (readings[i].t_s - readings[first].t_s > kHalf_s) ++first;
    last = std::max(last, i);
    while (last + 1 < n && readings[last + 1].t_s - readings[i].t_s <= kHalf_s) ++last;
    const double square = std::max(sum[last + 1] - sum[first], 0.0);
    out[i] = std::sqrt(square / static_cast<double>(last - first + 1));
  }
  return out;
}

// Stretches of calm in which the bar as good as stands. A bar that is held sways: slowly enough for
// its velocity to be about a quarter of its acceleration (0.7 Hz). At the ends of a stretch it is
// about to start, or has just stopped, and the acceleration there says by how much.
std::vector<double> rests(const std::vector<UpwardReading>& readings,
                          const LogStates& states,
                          const std::vector<char>& near,
                          const Trust& trust) {
  constexpr double kVelocityPerAccel_s = 0.25;
  constexpr double kCalmest_mps = 0.006;
  constexpr double kSwaying_mps = 0.03;
  constexpr double kMoving_mps = 0.05;
  const std::size_t n = readings.size();
  const std::vector<double> around = unrest(readings, states);
  const auto resting = [&](std::size_t i) {
    const double sigma = std::sqrt(std::max(states.links[i].covariance(1, 1), 0.0));
    const bool slow = std::abs(states.states[i][at::kVelocity]) < trust.rest_mps + 2.0 * sigma;
    const bool even = std::abs(states.states[i][at::kAccel]) < kRestAccel_mps2;
    return (readings[i].quiet || readings[i].lying) && near[i] != 0 && slow && even;
  };
  std::vector<double> out(n, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    if (!resting(i)) continue;
    std::size_t end = i;
    double square_sum = 0.0;
    for (; end < n && resting(end); ++end) {
      square_sum += states.states[end][at::kAccel] * states.states[end][at::kAccel];
    }
    const double accel = std::sqrt(square_sum / static_cast<double>(end - i));
    const double sigma = std::clamp(kVelocityPerAccel_s * accel, kCalmest_mps, kSwaying_mps);
    for (std::size_t k = i; k < end; ++k) {
      const double here = kVelocityPerAccel_s * around[k];
      if (here <= kMoving_mps) out[k] = std::max(sigma, here);
    }
    i = end;
  }
  return out;
}

}  // namespace

std::vector<Turn> find_turns(const LogStates& states, double turn_m) {
  std::vector<Turn> out;
  std::size_t high = 0;
  std::size_t low = 0;
  int heading = 0;
  const auto h = [&](std::size_t i) { return states.states[i][at::kHeight]; };
  for (std::size_t i = 0; i < states.states.size(); ++i) {
    if (h(i) > h(high)) high = i;
    if (h(i) < h(low)) low = i;
    if (heading >= 0 && h(high) - h(i) >= turn_m) {
      out.push_back({high, true});
      heading = -1;
      low = high = i;
    } else if (heading <= 0 && h(i) - h(low) >= turn_m) {
      out.push_back({low, false});
      heading = 1;
      high = low = i;
    }
  }
  if (heading != 0) out.push_back({heading > 0 ? high : low, heading > 0});
  return out;
}

UpwardAssumptions assume_from(const std::vector<UpwardReading>& readings,
                              const LogStates& states,
                              const Trust& trust) {
  UpwardAssumptions out;
  const std::vector<Turn> turns = find_turns(states, kTurn_m);
  const std::vector<char> near = near_a_turn(turns, states);
  out.rest_sigma_mps = rests(readings, states, near, trust);
  out.rest_sigma_scale = trust.rest_sigma_scale;
  const std::vector<Top> tops = tops_of(readings, turns, states);
  for (std::size_t first = 0; first < tops.size();) {
    std::size_t end = first + 1;
    while (end < tops.size() &&
           readings[tops[end].at].t_s - readings[tops[end - 1].at].t_s <= kSameSet_s) {
      ++end;
    }
    std::vector<double> travels;
    for (std::size_t k = first; k < end; ++k) travels.push_back(tops[k].travel_m);
    const double usual = median_of(travels);
    std::vector<std::size_t> alike;
    for (std::size_t k = first; k < end; ++k) {
      const double share = tops[k].travel_m / usual;
      if (share >= kShortest && share <= kLongest) alike.push_back(tops[k].at);
    }
    if (alike.size() >= 2) {
      std::vector<double> heights;
      heights.reserve(alike.size());
      for (const std::size_t i : alike) heights.push_back(states.states[i][at::kHeight]);
      const double level = median_of(heights);
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
