#include "libkinetics/inertial/handled.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

// A rise is looked at between these shares of its gain: what leads to it and follows is left out.
constexpr double kEndShare = 0.1;
constexpr double kTurn_m = 0.08;
// No bar turns about the vertical by this much on its way up, nor tilts by that much (0.6: some 35
// degrees); a sensor on a wrist may, but then does so in every repetition.
struct Limits {
  double yaw_rad, more_yaw;
  double turn, more_turn;
};
constexpr Limits kOfSet{0.35, 2.5, 0.6, 2.5};
// Of a rise that only two others are like.
constexpr Limits kOfFew{0.20, 3.0, 0.45, 2.0};
// Of a rise like no other in a log of sets.
constexpr Limits kOfStranger{0.12, 3.0, 0.25, 1.7};
// Alike: within these shares of each other, and this near in attitude (25 degrees).
constexpr double kAlikeGain = 0.6;
constexpr double kAlikeTime = 0.45;
constexpr float kAlikeCosine = 0.906F;
// As good as the same in travel and time: a sleeve may have turned in between (41 degrees).
constexpr double kSame = 0.8;
constexpr float kSameCosine = 0.75F;
// Rises of one set follow on each other this soon.
constexpr double kSameSet_s = 15.0;
constexpr std::size_t kFewestFellows = 2;
constexpr std::size_t kManyFellows = 3;
constexpr double kAlikeYaw_rad = 0.15;
// A lift of its own, unlike any other in the log: it goes straight up from a hold, and far.
constexpr double kStraightYaw_rad = 0.2;
constexpr double kStraightTurn = 0.3;
constexpr double kStraightGain_m = 0.25;
constexpr double kMargin_s = 0.3;

// Who walks bobs twice a second, by some centimetres; no lift is as short in both.
constexpr double kBob_m = 0.20;
constexpr double kBob_s = 0.28;

struct Push {
  std::size_t from = 0;
  std::size_t to = 0;
  double from_s = 0.0;
  double to_s = 0.0;
  double gain_m = 0.0;
  double yaw_rad = 0.0;  // range of the heading
  double turn = 0.0;     // range of the vertical within the sensor: 0 to about 2
  Eigen::Vector3f up_low = Eigen::Vector3f::UnitZ();
  Eigen::Vector3f up_high = Eigen::Vector3f::UnitZ();
  std::size_t fellows = 0;
  bool bob = false;  // of a walk
};

void look_at_turning(const std::vector<UpwardReading>& readings, Push& push) {
  Eigen::Vector3f lo = Eigen::Vector3f::Constant(2.0F);
  Eigen::Vector3f hi = -lo;
  double yaw = 0.0;
  double least = 0.0;
  double most = 0.0;
  for (std::size_t i = push.from; i <= push.to; ++i) {
    lo = lo.cwiseMin(readings[i].up);
    hi = hi.cwiseMax(readings[i].up);
    if (i == push.to) break;
    yaw += readings[i].yaw_radps * (readings[i + 1].t_s - readings[i].t_s);
    least = std::min(least, yaw);
    most = std::max(most, yaw);
  }
  push.yaw_rad = most - least;
  push.turn = static_cast<double>((hi - lo).norm());
  push.up_low = readings[push.from].up;
  push.up_high = readings[push.to].up;
}

// The part of a way up from `low` to `high` (heights rising in between) that one push covers.
Push push_between(const std::vector<UpwardReading>& readings,
                  const LogStates& states,
                  std::size_t low,
                  std::size_t high) {
  const auto h = [&](std::size_t i) { return states.states[i][at::kHeight]; };
  Push push;
  push.gain_m = h(high) - h(low);
  std::size_t middle = low;
  while (middle < high && h(middle) < h(low) + 0.5 * push.gain_m) ++middle;
  push.from = push.to = middle;
  while (push.from > low && h(push.from) > h(low) + kEndShare * push.gain_m) --push.from;
  while (push.to < high && h(push.to) < h(low) + (1.0 - kEndShare) * push.gain_m) ++push.to;
  push.from_s = readings[push.from].t_s;
  push.to_s = readings[push.to].t_s;
  look_at_turning(readings, push);
  return push;
}

// The quick parts of a way up, each with the stops that a grinder may have; what creeps before,
// between and after is left out.
std::vector<std::pair<std::size_t, std::size_t>> quick_parts(
    const std::vector<UpwardReading>& readings,
    const LogStates& states,
    std::size_t low,
    std::size_t high) {
  constexpr double kSlow_mps = 0.06;
  constexpr double kShareOfPeak = 0.3;
  constexpr double kLongestStop_s = 1.2;
  const auto v = [&](std::size_t i) { return states.states[i][at::kVelocity]; };
  double peak = 0.0;
  for (std::size_t i = low; i <= high; ++i) peak = std::max(peak, v(i));
  const double slow = std::min(std::max(kSlow_mps, kShareOfPeak * peak), 0.9 * peak);
  std::vector<std::pair<std::size_t, std::size_t>> out;
  for (std::size_t i = low; i <= high; ++i) {
    if (v(i) <= slow) continue;
    if (out.empty() || readings[i].t_s - readings[out.back().second].t_s > kLongestStop_s) {
      out.emplace_back(i, i);
    }
    out.back().second = i;
  }
  // The ends ease in and out.
  constexpr double kEase_s = 0.3;
  for (auto& [from, to] : out) {
    const double from_s = readings[from].t_s;
    const double to_s = readings[to].t_s;
    while (from > low && from_s - readings[from].t_s < kEase_s && v(from) > 0.0) --from;
    while (to < high && readings[to].t_s - to_s < kEase_s && v(to) > 0.0) ++to;
  }
  return out;
}

// A bar may be carried further up from a lockout: one way up, but two pushes.
std::vector<Push> find_pushes(const std::vector<UpwardReading>& readings, const LogStates& states) {
  const auto h = [&](std::size_t i) { return states.states[i][at::kHeight]; };
  const std::vector<Turn> turns = find_turns(states, kTurn_m);
  std::vector<Push> out;
  for (std::size_t k = 0; k + 1 < turns.size(); ++k) {
    if (turns[k].high) continue;
    std::size_t low = turns[k].at;
    const std::size_t high = turns[k + 1].at;
    const auto add = [&](std::size_t from, std::size_t to) {
      if (h(to) - h(from) >= kTurn_m) out.push_back(push_between(readings, states, from, to));
    };
    for (const auto& [from, to] : quick_parts(readings, states, low, high)) {
      add(low, from);
      add(from, to);
      low = to;
    }
    add(low, high);
  }
  return out;
}

bool near_in_ratio(double a, double b, double share) {
  return std::min(a, b) >= share * std::max(a, b);
}

bool alike(const Push& a, const Push& b, bool spinning) {
  const double a_s = a.to_s - a.from_s;
  const double b_s = b.to_s - b.from_s;
  if (a.bob || b.bob || !near_in_ratio(a.gain_m, b.gain_m, kAlikeGain) ||
      !near_in_ratio(a_s, b_s, kAlikeTime)) {
    return false;
  }
  const double most_yaw = std::max(a.yaw_rad, b.yaw_rad);
  if (std::abs(a.yaw_rad - b.yaw_rad) > kAlikeYaw_rad + 0.3 * most_yaw) return false;
  const bool same = near_in_ratio(a.gain_m, b.gain_m, kSame) && near_in_ratio(a_s, b_s, kSame);
  const float cosine = same ? kSameCosine : kAlikeCosine;
  return spinning || (a.up_low.dot(b.up_low) >= cosine && a.up_high.dot(b.up_high) >= cosine);
}

double gap_s(const Push& a, const Push& b) {
  return std::max(a.from_s, b.from_s) - std::min(a.to_s, b.to_s);
}

// One short jerk may be a lift that failed; a step is followed by the next.
void find_bobs(std::vector<Push>& pushes) {
  constexpr double kNext_s = 1.0;
  for (std::size_t i = 0; i < pushes.size(); ++i) {
    Push& p = pushes[i];
    const bool follows = i > 0 && gap_s(pushes[i - 1], p) < kNext_s;
    const bool leads = i + 1 < pushes.size() && gap_s(p, pushes[i + 1]) < kNext_s;
    p.bob = p.gain_m < kBob_m && p.to_s - p.from_s < kBob_s && (follows || leads);
  }
}

void count_fellows(std::vector<Push>& pushes, bool spinning) {
  for (Push& p : pushes) p.fellows = 0;
  for (std::size_t i = 0; i < pushes.size(); ++i) {
    for (std::size_t k = i + 1; k < pushes.size(); ++k) {
      // Two rises further on is still the same set, whatever lies between.
      if (gap_s(pushes[i], pushes[k]) > 2.0 * kSameSet_s) break;
      if (!alike(pushes[i], pushes[k], spinning)) continue;
      ++pushes[i].fellows;
      ++pushes[k].fellows;
    }
  }
}

bool held_before(const std::vector<UpwardReading>& readings, const Push& push) {
  constexpr double kWithin_s = 1.0;
  for (std::size_t i = push.from; i > 0 && push.from_s - readings[i].t_s < kWithin_s; --i) {
    if (readings[i].quiet) return true;
  }
  return false;
}

struct Usual {
  double yaw_rad = 0.0;
  double turn = 0.0;
};

// What the sets of a log do as a rule; nothing repeats in a log without any.
Usual usual_of(const std::vector<Push>& pushes, std::size_t fellows) {
  std::vector<double> yaws;
  std::vector<double> turns;
  for (const Push& p : pushes) {
    if (p.fellows < fellows) continue;
    yaws.push_back(p.yaw_rad);
    turns.push_back(p.turn);
  }
  return {median_of(std::move(yaws)), median_of(std::move(turns))};
}

// Whether what repeats in travel and time turns right over each time: a sleeve, and no gyroscope to
// tell so.
bool spins_in_sets(std::vector<Push>& pushes) {
  constexpr double kRightOver = 1.2;
  count_fellows(pushes, true);
  return usual_of(pushes, kFewestFellows).turn > kRightOver;
}

std::size_t count_repeated(const std::vector<Push>& pushes) {
  return static_cast<std::size_t>(std::count_if(
      pushes.begin(), pushes.end(), [](const Push& p) { return p.fellows >= kFewestFellows; }));
}

// A sleeve goes round the bar as it likes, from rise to rise and within one. While its axis is
// level, as a bar's is, all verticals around it are taken for one.
void turn_sleeve_back(std::vector<Push>& pushes,
                      const std::vector<UpwardReading>& readings,
                      const Eigen::Vector3f& axis) {
  constexpr float kLevel = 0.3F;  // 17 degrees
  const Eigen::Vector3f beside = axis.unitOrthogonal();
  const auto turned_back = [&](float along) {
    return Eigen::Vector3f(along * axis + std::sqrt(1.0F - along * along) * beside);
  };
  for (Push& p : pushes) {
    float least = 1.0F;
    float most = -1.0F;
    for (std::size_t i = p.from; i <= p.to; ++i) {
      least = std::min(least, readings[i].up.dot(axis));
      most = std::max(most, readings[i].up.dot(axis));
    }
    if (least < -kLevel || most > kLevel) continue;
    p.turn = static_cast<double>(most - least);
    p.up_low = turned_back(p.up_low.dot(axis));
    p.up_high = turned_back(p.up_high.dot(axis));
  }
}

// Whether the log's rises repeat more often once a sleeve's turns are taken out of them; they are
// then left so.
bool on_sleeve(std::vector<Push>& pushes,
               const std::vector<UpwardReading>& readings,
               const Eigen::Vector3f& axis) {
  // What a bar that is gripped is turned by at most, between a hand's lowest and highest.
  constexpr double kGripped = 0.35;
  count_fellows(pushes, false);
  std::vector<Push> back = pushes;
  turn_sleeve_back(back, readings, axis);
  count_fellows(back, false);
  // An arm swings about a level axis too, step by step; but who walks in a log of sets does not
  // make most of what repeats in it.
  if (count_repeated(back) <= 2 * count_repeated(pushes)) return false;
  std::vector<double> turns;
  for (std::size_t i = 0; i < pushes.size(); ++i) {
    if (back[i].fellows >= kFewestFellows) turns.push_back(pushes[i].turn);
  }
  if (median_of(std::move(turns)) < kGripped) return false;
  pushes = std::move(back);
  return true;
}

bool carried(const Push& p, const Usual& usual, const Limits& limits, bool spinning) {
  // Walking about may be what a log holds as a rule; no lift turns by 45 degrees, whatever is
  // usual.
  constexpr double kMostYaw_rad = 0.8;
  const double most_yaw = std::max(limits.yaw_rad, limits.more_yaw * usual.yaw_rad);
  if (spinning) return p.yaw_rad > std::max(most_yaw, kMostYaw_rad);
  return p.yaw_rad > std::min(most_yaw, kMostYaw_rad) ||
         p.turn > std::max(limits.turn, limits.more_turn * usual.turn);
}

// Of a rise without fellows in a log of sets.
bool belongs(const std::vector<UpwardReading>& readings,
             const std::vector<Push>& pushes,
             const Push& p,
             std::size_t fellows,
             bool spinning) {
  for (const Push& q : pushes) {
    if (q.fellows < fellows) continue;
    // Cut short or failed, but from where the others began; or a single of the same lift.
    const bool same_low = spinning || p.up_low.dot(q.up_low) >= kAlikeCosine;
    if ((same_low && gap_s(p, q) <= kSameSet_s && p.gain_m <= 1.2 * q.gain_m) ||
        alike(p, q, spinning)) {
      return true;
    }
  }
  return p.yaw_rad < kStraightYaw_rad && p.turn < kStraightTurn && p.gain_m >= kStraightGain_m &&
         held_before(readings, p);
}

void mark(std::vector<UpwardReading>& readings, const Push& from, const Push& to) {
  for (std::size_t i = from.from; i-- > 0;) {
    if (from.from_s - readings[i].t_s > kMargin_s) break;
    readings[i].handled = true;
  }
  for (std::size_t i = from.from; i < readings.size(); ++i) {
    if (readings[i].t_s > to.to_s + kMargin_s) break;
    readings[i].handled = true;
  }
}

}  // namespace

bool mark_handled(std::vector<UpwardReading>& readings,
                  const LogStates& states,
                  const SensorTurns& turns) {
  std::vector<Push> pushes = find_pushes(readings, states);
  find_bobs(pushes);
  const bool sleeve =
      turns.main_axis && !turns.spinning && on_sleeve(pushes, readings, *turns.main_axis);
  const bool spinning = turns.spinning || (!sleeve && spins_in_sets(pushes));
  count_fellows(pushes, spinning);
  std::size_t most = 0;
  for (const Push& p : pushes) most = std::max(most, p.fellows);
  // How many make a set in this log: three, or four where some have as many.
  const std::size_t needed = std::clamp(most, kFewestFellows, kManyFellows);
  const bool sets = most >= needed;
  const Usual usual = usual_of(pushes, needed);
  const auto stranger = [&](const Push& p) {
    if (p.bob) return true;
    if (!sets) return carried(p, {}, p.fellows > 0 ? kOfSet : kOfFew, spinning);
    if (p.fellows >= needed) return carried(p, usual, kOfSet, spinning);
    if (p.fellows >= kFewestFellows) return carried(p, usual, kOfFew, spinning);
    return carried(p, usual, kOfStranger, spinning) ||
           !belongs(readings, pushes, p, needed, spinning);
  };
  bool any = false;
  const Push* last = nullptr;
  for (const Push& p : pushes) {
    if (!stranger(p)) {
      last = nullptr;
      continue;
    }
    // Between two of them nobody lifts either.
    mark(readings, last != nullptr ? *last : p, p);
    last = &p;
    any = true;
  }
  return any;
}

}  // namespace kinetics
