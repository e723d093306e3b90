#include "libkinetics/kinematics/rep_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "libkinetics/kinematics/extremum.h"
#include "libkinetics/kinematics/posterior.h"
#include "libkinetics/kinematics/propulsive.h"

namespace kinetics {
namespace {

// The largest of some ten independent wiggles of noise stays below this many sigmas 19 times of 20.
constexpr double kLargestOfMany = 2.8;
// A bar that goes down by this much has left the lockout; less is sway.
constexpr double kLeaves_m = 0.04;
constexpr double kStill_mps = 0.02;
constexpr double kSwayFor_s = 1.0;

double square(double x) {
  return x * x;
}

bool joined(const Motion& motion, double from_s, double to_s) {
  for (std::size_t i = sample_before(motion, from_s);
       i + 1 < motion.samples.size() && motion.samples[i].t_s < to_s;
       ++i) {
    const bool linked = i < motion.links.size()
                            ? motion.links[i].joined
                            : motion.samples[i].measured && motion.samples[i + 1].measured;
    if (!linked) return false;
  }
  return true;
}

struct Stretch {
  double from_s = 0.0;
  double to_s = 0.0;
};

std::vector<MotionSample> states_in(const Motion& motion, Stretch s) {
  constexpr double kEvery_s = 0.005;
  const int steps = std::clamp(static_cast<int>((s.to_s - s.from_s) / kEvery_s), 2, 4000);
  return sweep(motion, s.from_s, s.to_s, steps);
}

void measure_propulsive(const Motion& motion, const Rep& rep, RepShape& out) {
  const auto states = sweep(motion, rep.start_s, rep.end_s, 1000);
  const auto at = [&](double lean) { return states[propulsive_end(states, lean)].t_s; };
  const double end = at(0.0);
  double jump = 0.0;
  for (const double lean : {-2.0, -1.0, 1.0, 2.0}) {
    jump = std::max(jump, std::abs(at(lean) - end) / std::abs(lean));
  }
  out.propulsive_s = Measured(end - rep.start_s, std::hypot(jump, rep.concentric_s.sigma()));
}

double sideways_sigma(const Motion& motion, const MotionSample& s) {
  return std::hypot(s.x_sigma_m, lasting_sigma(motion, s.t_s));
}

void measure_path(const Motion& motion, const Rep& rep, RepShape& out) {
  const auto states = sweep(motion, rep.start_s, rep.end_s, 200);
  const MotionSample& from = states.front();
  const MotionSample& to = states.back();
  const double rise = std::max(to.height_m - from.height_m, 1e-3);
  double farthest = 0.0;
  MotionSample there = from;
  for (const MotionSample& s : states) {
    const double share = std::clamp((s.height_m - from.height_m) / rise, 0.0, 1.0);
    const double off = std::abs(s.x_m - from.x_m - share * (to.x_m - from.x_m));
    if (off <= farthest) continue;
    farthest = off;
    there = s;
  }
  const double ends = std::hypot(sideways_sigma(motion, from), sideways_sigma(motion, to));
  const double net = to.x_m - from.x_m;
  out.net_sideways_m = Measured(net, std::hypot(ends, motion.scale_sigma_rel * net));
  out.path_deviation_m = Measured(farthest,
                                  std::hypot(std::hypot(sideways_sigma(motion, there), 0.5 * ends),
                                             motion.scale_sigma_rel * farthest));
}

/// Spread over mean, from the first two moments of the velocity over time.
Measured variation(const Motion& motion, const std::vector<MotionSample>& states, double t_sigma) {
  const double duration = states.back().t_s - states.front().t_s;
  const double mean = (states.back().height_m - states.front().height_m) / duration;
  double square_mean = 0.0;
  StateForm form;
  for (std::size_t i = 0; i < states.size(); ++i) {
    const bool end = i == 0 || i + 1 == states.size();
    const double share = (end ? 0.5 : 1.0) / static_cast<double>(states.size() - 1);
    square_mean += share * square(states[i].velocity_mps);
    form.push_back(
        {states[i].t_s, 2.0 * share * states[i].velocity_mps * Eigen::Vector3d::UnitY()});
  }
  const double ratio = square_mean / square(mean);
  const double value = std::sqrt(std::max(ratio - 1.0, 1e-6));
  // The mean's errors are those of the two heights.
  const double of_mean = -2.0 * ratio / mean / duration;
  for (StateWeight& w : form) w.weight /= square(mean);
  form.push_back({states.back().t_s, of_mean * Eigen::Vector3d::UnitX()});
  form.push_back({states.front().t_s, -of_mean * Eigen::Vector3d::UnitX()});
  const double by_time = ratio * t_sigma / duration;
  return {value, std::hypot(sigma_of(motion, form), by_time) / (2.0 * value)};
}

void measure_descent(const Motion& motion, const Rep& rep, Stretch down, RepShape& out) {
  const auto states = states_in(motion, down);
  const auto fastest = std::min_element(states.begin(), states.end(), [](auto& a, auto& b) {
    return a.velocity_mps < b.velocity_mps;
  });
  const Extremum e = extremum_at(motion, fastest->t_s, -1, down.from_s, down.to_s);
  out.eccentric_peak_velocity_mps =
      Measured(e.velocity_mps, with_shared(motion, e.sigma_mps, e.velocity_mps));
  out.eccentric_variation = variation(motion, states, rep.eccentric_s.sigma());
}

/// Largest there-and-back movement of a coordinate, up and down again.
struct Hump {
  double size_m = 0.0;
  std::size_t before = 0;
  std::size_t top = 0;
  std::size_t after = 0;
};

Hump largest_hump(const std::vector<double>& place) {
  std::vector<std::size_t> low_after(place.size());
  for (std::size_t i = place.size(); i-- > 0;) {
    const bool last = i + 1 == place.size();
    low_after[i] = last || place[i] < place[low_after[i + 1]] ? i : low_after[i + 1];
  }
  Hump out;
  std::size_t low = 0;
  for (std::size_t i = 0; i < place.size(); ++i) {
    if (place[i] < place[low]) low = i;
    const double size = place[i] - std::max(place[low], place[low_after[i]]);
    if (size > out.size_m) out = {size, low, i, low_after[i]};
  }
  return out;
}

double height_difference_sigma(const Motion& motion, double from_s, double to_s) {
  const Eigen::Vector3d height = Eigen::Vector3d::UnitX();
  return sigma_of(motion, {{from_s, height}, {to_s, -height}});
}

/// Up and down again, or to either side and back. Down and up again is how every pause ends.
void measure_rock(const Motion& motion, Stretch pause, RepShape& out) {
  const auto states = states_in(motion, pause);
  std::vector<double> up;
  std::vector<double> right;
  std::vector<double> left;
  for (const MotionSample& s : states) {
    up.push_back(s.height_m);
    right.push_back(s.x_m);
    left.push_back(-s.x_m);
  }
  const Hump rise = largest_hump(up);
  const double rise_sigma = height_difference_sigma(
      motion,
      states[rise.top].t_s,
      states[up[rise.before] > up[rise.after] ? rise.before : rise.after].t_s);
  const Hump to_right = largest_hump(right);
  const Hump to_left = largest_hump(left);
  const Hump& aside = to_right.size_m > to_left.size_m ? to_right : to_left;
  const double aside_sigma = std::numbers::sqrt2 * sideways_sigma(motion, states[aside.top]);
  const bool up_counts =
      rise.size_m / std::max(rise_sigma, 1e-9) > aside.size_m / std::max(aside_sigma, 1e-9);
  const double size = up_counts ? rise.size_m : aside.size_m;
  const double sigma = up_counts ? rise_sigma : aside_sigma;
  // The largest of many wiggles: its interval reaches zero unless it is beyond what noise makes.
  out.pause_rock_m = Measured(size, sigma * kLargestOfMany / kNormal95);
}

/// When the bar next goes down for good; the last sample when it does not.
Stretch lockout_of(const Motion& motion, const Rep& rep, bool& leaves) {
  const auto& s = motion.samples;
  std::size_t i = sample_before(motion, rep.end_s);
  const double level = rep.top_height_m;
  leaves = false;
  std::size_t last = s.size() - 1;
  for (std::size_t k = i; k < s.size(); ++k) {
    if (level - s[k].height_m < kLeaves_m) continue;
    leaves = true;
    last = k;
    break;
  }
  if (leaves) {
    while (last > i && s[last].velocity_mps < -kStill_mps) --last;
  }
  return {rep.end_s, std::max(s[last].t_s, rep.end_s)};
}

void measure_lockout(const Motion& motion, const Rep& rep, RepShape& out) {
  bool leaves = false;
  const Stretch held = lockout_of(motion, rep, leaves);
  if (!joined(motion, held.from_s, held.to_s)) {
    out.lockout_s = Reason::kDiscHidden;
  } else if (!leaves) {
    out.lockout_s = Reason::kOutsideClip;
  } else {
    // The time at which a descent starts is as uncertain as that at which a rise ends.
    out.lockout_s = Measured(held.to_s - held.from_s, rep.concentric_s.sigma());
  }
  const Stretch first{held.from_s, std::min(held.to_s, held.from_s + kSwayFor_s)};
  if (first.to_s - first.from_s < 0.1) {
    out.lockout_sway_m = leaves ? Reason::kNotApplicable : Reason::kOutsideClip;
    return;
  }
  if (!joined(motion, first.from_s, first.to_s)) {
    out.lockout_sway_m = Reason::kDiscHidden;
    return;
  }
  const auto states = states_in(motion, first);
  const auto [low, high] = std::minmax_element(
      states.begin(), states.end(), [](auto& a, auto& b) { return a.height_m < b.height_m; });
  out.lockout_sway_m = Measured(high->height_m - low->height_m,
                                height_difference_sigma(motion, low->t_s, high->t_s));
}

}  // namespace

RepShape rep_shape(const Motion& motion, const Rep& rep) {
  RepShape out;
  if (rep.concentric_s.ok() && rep.peak_velocity_mps.ok()) {
    measure_propulsive(motion, rep, out);
    measure_path(motion, rep, out);
  } else {
    const Measured none = rep.concentric_s.ok() ? rep.peak_velocity_mps : rep.concentric_s;
    out.propulsive_s = out.net_sideways_m = out.path_deviation_m = none;
  }
  if (rep.concentric_s.ok()) {
    measure_lockout(motion, rep, out);
  } else {
    out.lockout_s = out.lockout_sway_m = rep.concentric_s;
  }
  const bool paused = rep.pause_s.ok();
  const Stretch pause{paused ? rep.start_s - rep.pause_s.value() : 0.0, rep.start_s};
  if (paused && rep.eccentric_s.ok()) {
    const Stretch down{pause.from_s - rep.eccentric_s.value(), pause.from_s};
    if (joined(motion, down.from_s, down.to_s)) {
      measure_descent(motion, rep, down, out);
    } else {
      out.eccentric_peak_velocity_mps = out.eccentric_variation = Reason::kDiscHidden;
    }
  } else {
    out.eccentric_peak_velocity_mps = out.eccentric_variation =
        paused ? rep.eccentric_s : rep.pause_s;
  }
  if (!paused) {
    out.pause_rock_m = rep.pause_s;
  } else if (!joined(motion, pause.from_s, pause.to_s)) {
    out.pause_rock_m = Reason::kDiscHidden;
  } else {
    measure_rock(motion, pause, out);
  }
  return out;
}

bool rocked(const Rep& rep, double least_m) {
  return rep.pause_rock_m.ok() && rep.pause_rock_m.value() > least_m && rep.pause_rock_m.lo() > 0.0;
}

}  // namespace kinetics
