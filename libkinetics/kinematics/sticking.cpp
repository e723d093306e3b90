#include "libkinetics/kinematics/sticking.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "libkinetics/kinematics/extremum.h"
#include "libkinetics/kinematics/posterior.h"

namespace kinetics {
namespace {

constexpr int kSteps = 600;
// A dip counts when it is this many standard errors deep. A rise has some ten independent places
// where noise can make one, so that one in a hundred rises without a dip is given one.
constexpr double kBeyondNoise = 3.0;

/// Turns of the velocity between the ends of a rise: high, low, high, ... high, by time.
struct Turn {
  double t_s = 0.0;
  double velocity_mps = 0.0;
};

std::vector<Turn> turns_of(const std::vector<MotionSample>& states) {
  std::vector<Turn> out;
  bool rising = true;
  for (std::size_t i = 1; i < states.size(); ++i) {
    const bool goes_up = states[i].velocity_mps > states[i - 1].velocity_mps;
    if (goes_up == rising) continue;
    out.push_back({states[i - 1].t_s, states[i - 1].velocity_mps});
    rising = goes_up;
  }
  if (out.size() % 2 == 0) {
    // It ends while rising (the threshold was met early): that end is the last peak.
    if (rising) out.push_back({states.back().t_s, states.back().velocity_mps});
  }
  return out;
}

double difference_sigma(const Motion& motion, double from_s, double to_s) {
  const Eigen::Vector3d velocity = Eigen::Vector3d::UnitY();
  const double own = sigma_of(motion, {{from_s, velocity}, {to_s, -velocity}});
  const double lasting =
      std::hypot(lasting_sigma(motion, from_s), lasting_sigma(motion, to_s)) / kLasting_s;
  return std::hypot(own, lasting);
}

/// Takes out the shallowest dip or hump again and again until all left pass `deep_enough`.
template <typename DeepEnough>
std::vector<Turn> lasting_turns(std::vector<Turn> turns, DeepEnough deep_enough) {
  while (turns.size() >= 3) {
    std::size_t shallowest = turns.size();
    double least = INFINITY;
    for (std::size_t i = 0; i + 1 < turns.size(); ++i) {
      const double depth = std::abs(turns[i + 1].velocity_mps - turns[i].velocity_mps);
      if (depth >= least || deep_enough(turns[i], turns[i + 1])) continue;
      least = depth;
      shallowest = i;
    }
    if (shallowest == turns.size()) break;
    const auto at = turns.begin() + static_cast<std::ptrdiff_t>(shallowest);
    turns.erase(at, at + 2);
  }
  return turns;
}

RepSticking all(Reason reason) {
  const Measured none = reason;
  return {none, none, none, none, none, none, none, none, none};
}

struct Event {
  Measured velocity_mps;
  Measured after_start_s;
  Measured height;
};

Event event_at(const Motion& motion, const Rep& rep, double t_s, int direction) {
  const Extremum e = extremum_at(motion, t_s, direction, rep.start_s, rep.end_s);
  const MotionSample at = state_at(motion, t_s);
  // A drifting acceleration leaves the height of a peak alone beside its neighbours, but moves it.
  const double by_drift = motion.drift.empty() ? 0.0
                                               : std::min(at.accel_sigma_mps2 / e.curvature_mps3,
                                                          0.25 * (rep.end_s - rep.start_s));
  const double t_sigma = std::hypot(e.t_sigma_s, by_drift);
  const double rom = rep.rom_m.value();
  const double place = (at.height_m - rep.bottom_height_m) / rom;
  const Eigen::Vector3d height = Eigen::Vector3d::UnitX();
  const double own = sigma_of(
      motion,
      {{t_s, height}, {rep.start_s, -(1.0 - place) * height}, {rep.end_s, -place * height}});
  const double start_sigma = rep.concentric_s.sigma() / std::sqrt(2.0);
  return {{e.velocity_mps, with_shared(motion, e.sigma_mps, e.velocity_mps)},
          {t_s - rep.start_s, std::hypot(t_sigma, start_sigma)},
          {place, std::hypot(at.velocity_mps * t_sigma, own) / rom}};
}

}  // namespace

RepSticking rep_sticking(const Motion& motion, const Rep& rep, const StickingOptions& options) {
  if (!rep.peak_velocity_mps.ok()) return all(rep.peak_velocity_mps.reason());
  const auto states = sweep(motion, rep.start_s, rep.end_s, kSteps);
  const auto deep = [&](const Turn& a, const Turn& b) {
    return std::abs(b.velocity_mps - a.velocity_mps) >= options.least_dip_mps;
  };
  const std::vector<Turn> seen = lasting_turns(turns_of(states), deep);
  if (seen.size() < 3) return all(Reason::kNotApplicable);
  const std::vector<Turn> sure = lasting_turns(seen, [&](const Turn& a, const Turn& b) {
    return std::abs(b.velocity_mps - a.velocity_mps) >=
           kBeyondNoise * difference_sigma(motion, a.t_s, b.t_s);
  });
  if (sure.size() < 3) return all(Reason::kWithinNoise);
  const Event first = event_at(motion, rep, sure[0].t_s, 1);
  const Event low = event_at(motion, rep, sure[1].t_s, -1);
  const Event second = event_at(motion, rep, sure[2].t_s, 1);
  return {.first_peak_velocity_mps = first.velocity_mps,
          .sticking_velocity_mps = low.velocity_mps,
          .second_peak_velocity_mps = second.velocity_mps,
          .sticking_from_s = first.after_start_s,
          .sticking_low_s = low.after_start_s,
          .second_peak_s = second.after_start_s,
          .sticking_from_height = first.height,
          .sticking_low_height = low.height,
          .second_peak_height = second.height};
}

}  // namespace kinetics
