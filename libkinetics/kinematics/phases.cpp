#include "libkinetics/kinematics/phases.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/core/share_work.h"
#include "libkinetics/kinematics/onset.h"

namespace kinetics {
namespace {

// A bar that comes back by this much has turned; less is a dip, sway, or rocking.
constexpr double kTurn_m = 0.04;
// A dip parts two movements when it lasts longer than this, plus a share for what was gained on
// either side: a grinder may stand still for a second half way, but not at the last centimetre.
constexpr double kShortDip_s = 0.05;
constexpr double kDipPerGain_s = 5.0;
constexpr double kLongestDip_s = 1.2;
// Giving back more than this share of the smaller side means the side was rocking or sway.
constexpr double kLargestGivenBack = 0.35;
// A run over the threshold that noise of the velocity could have made, in sigmas.
constexpr double kNoiseSigmas = 2.0;
constexpr double kNoiseWithin_s = 0.2;  // of the crossing that noise repeats

// A picture only ever lags: in sigmas of BarPath::hold_sigma_m, mean and spread of how far. Those
// of a half-normal error stand in this proportion.
constexpr double kMeanHold = 0.75;
constexpr double kHoldSpread = 0.57;

/// On which side of a crossing the bar may rest.
enum class Beside { kBefore, kAfter };

/// How long the lag of the picture (see BarPath::hold_sigma_m) shifts a threshold crossing, 1
/// sigma: the time the bar takes to move as far, at the threshold's velocity or the speed it
/// gathers.
double hold_sigma_s(const Motion& motion, const Crossing& crossing, Beside beside, double th) {
  // Next to a rest the coder has settled on the picture, and the first or last tenths of a
  // millimetre are what it leaves out. Through a turn it never settles.
  constexpr double kSettling_s = 0.10;
  const double side = beside == Beside::kBefore ? -1.0 : 1.0;
  const double outside_s = std::clamp(
      crossing.t_s + side * kSettling_s, motion.samples.front().t_s, motion.samples.back().t_s);
  const bool at_rest = std::abs(state_at(motion, outside_s).velocity_mps) < th;
  const double gathers_over_s = at_rest ? 0.010 : 0.040;
  const double gained = std::abs(state_at(motion, crossing.t_s).accel_mps2) * gathers_over_s;
  return motion.hold_sigma_m / std::max(std::hypot(th, gained), 0.01);
}

struct Turn {
  std::size_t sample = 0;
  bool high = false;
};

// Alternating highs and lows, first and last sample included.
std::vector<Turn> find_turns(const std::vector<MotionSample>& samples, double turn_m) {
  std::vector<Turn> turns;
  std::size_t high = 0;
  std::size_t low = 0;
  int heading = 0;  // 1 up, -1 down, 0 not known yet
  bool any = false;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    if (!samples[i].measured) continue;
    if (!any) {
      high = low = i;
      any = true;
    }
    const double h = samples[i].height_m;
    if (h > samples[high].height_m) high = i;
    if (h < samples[low].height_m) low = i;
    if (heading >= 0 && samples[high].height_m - h >= turn_m) {
      turns.push_back({high, true});
      heading = -1;
      low = i;
      high = i;
    } else if (heading <= 0 && h - samples[low].height_m >= turn_m) {
      turns.push_back({low, false});
      heading = 1;
      high = i;
      low = i;
    }
  }
  if (heading != 0) turns.push_back({heading > 0 ? high : low, heading > 0});
  return turns;
}

// Velocity along the direction of travel: up for 1, down for -1.
double along(const MotionSample& s, int direction) {
  return direction * s.velocity_mps;
}

struct StretchOverThreshold {
  double from_s = 0.0;
  double to_s = 0.0;
  double gain_m = 0.0;
  double excess_sigmas = 0.0;  // of its fastest instant over the threshold
  bool starts_inside = true;   // false: already over the threshold at the window's edge
  bool ends_inside = true;
};

// Whether a log that begins (or ends) at a sample may as well begin at rest there: its velocity is
// over the threshold by no more than the drift can explain.
bool rest_within_drift(const Motion& motion, std::size_t i, int direction, double th) {
  if (motion.drift.empty() || (i != 0 && i + 1 != motion.samples.size())) return false;
  const MotionSample& s = motion.samples[i];
  return along(s, direction) <= th + kNoiseSigmas * s.velocity_sigma_mps;
}

double refine_crossing(const Motion& motion, double from_s, double to_s, int direction, double th) {
  const bool from_over = along(state_at(motion, from_s), direction) > th;
  for (int i = 0; i < 40; ++i) {
    const double mid = 0.5 * (from_s + to_s);
    ((along(state_at(motion, mid), direction) > th) == from_over ? from_s : to_s) = mid;
  }
  return 0.5 * (from_s + to_s);
}

std::vector<StretchOverThreshold> stretches_over(
    const Motion& motion, std::size_t first, std::size_t last, int direction, double th) {
  const std::vector<MotionSample>& s = motion.samples;
  std::vector<StretchOverThreshold> out;
  for (std::size_t i = first; i <= last; ++i) {
    if (along(s[i], direction) <= th) continue;
    StretchOverThreshold stretch;
    stretch.starts_inside = i > first || rest_within_drift(motion, i, direction, th);
    stretch.from_s =
        i > first ? refine_crossing(motion, s[i - 1].t_s, s[i].t_s, direction, th) : s[i].t_s;
    std::size_t j = i;
    while (j <= last && along(s[j], direction) > th) {
      const double sigma = std::max(s[j].velocity_sigma_mps, 1e-9);
      stretch.excess_sigmas =
          std::max(stretch.excess_sigmas, (along(s[j], direction) - th) / sigma);
      ++j;
    }
    stretch.ends_inside = j <= last || rest_within_drift(motion, last, direction, th);
    stretch.to_s =
        j <= last ? refine_crossing(motion, s[j - 1].t_s, s[j].t_s, direction, th) : s[last].t_s;
    stretch.gain_m = direction * (state_at(motion, stretch.to_s).height_m -
                                  state_at(motion, stretch.from_s).height_m);
    out.push_back(stretch);
    i = j;
  }
  return out;
}

// Whether movement on both sides of a dip belongs together. Blind to the direction of time.
bool one_movement(double one_gain_m, double other_gain_m, double dip_s, double given_back_m) {
  const double smaller = std::min(one_gain_m, other_gain_m);
  const double share = smaller / std::max(one_gain_m + other_gain_m, 1e-9);
  const double allowed = std::min(kShortDip_s + kDipPerGain_s * share, kLongestDip_s);
  return dip_s <= allowed && given_back_m <= kLargestGivenBack * smaller;
}

// Error of a crossing from the time the velocity takes to pass through its own noise band.
double crossing_sigma(const Motion& motion, double t_s, int direction, int outwards, double th) {
  const MotionSample at = state_at(motion, t_s);
  const double sigma = at.velocity_sigma_mps;
  if (sigma <= 0.0) return 0.0;
  const double first = motion.samples.front().t_s;
  const double last = motion.samples.back().t_s;
  constexpr double kStep_s = 0.002;
  constexpr double kFarthest_s = 1.0;
  const auto reach = [&](int step, double level, bool above) {
    double t = t_s;
    while (std::abs(t - t_s) < kFarthest_s && t >= first && t <= last) {
      const double v = along(state_at(motion, t), direction);
      if (above ? v >= level : v <= level) break;
      t += step * kStep_s;
    }
    return std::abs(t - t_s);
  };
  const double inside = reach(-outwards, th + sigma, true);
  const double outside = reach(outwards, th - sigma, false);
  return 0.5 * (inside + outside);
}

// Where errors last, a bar at rest may seem to creep along at the threshold for a second. Its
// crossing is then looked for higher up, out of the drift's reach, and carried back along the
// acceleration. Gives how much higher; 0 for a path that was seen.
double above_drift(const Motion& motion, std::size_t first, std::size_t last, int direction) {
  if (motion.drift.empty()) return 0.0;
  constexpr double kMostOfPeak = 0.35;
  constexpr double kOutOfReach = 2.5;  // sigmas
  double peak = 0.0;
  double sigma_sum = 0.0;
  for (std::size_t i = first; i <= last; ++i) {
    peak = std::max(peak, along(motion.samples[i], direction));
    sigma_sum += motion.samples[i].velocity_sigma_mps;
  }
  const double sigma = sigma_sum / static_cast<double>(last - first + 1);
  return std::min(kOutOfReach * sigma, kMostOfPeak * peak);
}

// From where the velocity passes the threshold and `margin_mps` back to where it passes the
// threshold alone: along the acceleration, or as the estimate has it where that is nearer.
Crossing carried_back(const Motion& motion,
                      double t_s,
                      bool known,
                      int direction,
                      int outwards,
                      double th,
                      double margin_mps) {
  constexpr double kLeastAccel_mps2 = 0.1;
  constexpr double kFarthest_s = 0.4;
  constexpr double kStep_s = 0.002;
  const MotionSample at = state_at(motion, t_s);
  const double accel = std::max(std::abs(at.accel_mps2), kLeastAccel_mps2);
  const double farthest = std::min(margin_mps / accel, kFarthest_s);
  double shift = 0.0;
  while (shift < farthest && along(state_at(motion, t_s + outwards * shift), direction) > th) {
    shift += kStep_s;
  }
  // Between two samples the crossing lies where the model would have it, not where it was seen.
  constexpr double kShareOfSpacing = 0.25;
  const std::size_t i = sample_before(motion, t_s);
  const double spacing =
      i + 1 < motion.samples.size() ? motion.samples[i + 1].t_s - motion.samples[i].t_s : 0.0;
  const double by_noise = std::min(at.velocity_sigma_mps / accel, kFarthest_s);
  return {std::clamp(t_s + outwards * shift, motion.samples.front().t_s, motion.samples.back().t_s),
          std::hypot(by_noise, kShareOfSpacing * spacing),
          known};
}

/// Whether the bar was seen in every sample around an instant. Of a motion without drift it was, or
/// nothing is known of it.
bool sighted_around(const Motion& motion, double t_s) {
  if (motion.drift.empty()) return true;
  constexpr double kAround_s = 0.15;
  std::size_t i = sample_before(motion, t_s - kAround_s);
  for (; i < motion.samples.size() && motion.samples[i].t_s < t_s + kAround_s; ++i) {
    if (!(motion.links[i].sighting_variance_m2 > 0.0)) return false;
  }
  return true;
}

// A picture that lags shows the start late and the stop early: on average by most of a sigma.
void refine_start(
    const Motion& motion, int direction, double travel_s, double th, Crossing& start) {
  if (const auto better = refine_edge(motion, start, {direction, true}, travel_s, th)) {
    start = *better;
  }
  const double late_s = hold_sigma_s(motion, start, Beside::kBefore, th);
  start.t_s = std::max(motion.samples.front().t_s, start.t_s - kMeanHold * late_s);
  start.sigma_s = std::hypot(start.sigma_s, kHoldSpread * late_s);
}
void refine_end(const Motion& motion, int direction, double travel_s, double th, Crossing& end) {
  if (const auto better = refine_edge(motion, end, {direction, false}, travel_s, th)) {
    end = *better;
  }
  const double early_s = hold_sigma_s(motion, end, Beside::kAfter, th);
  end.t_s = std::min(motion.samples.back().t_s, end.t_s + kMeanHold * early_s);
  end.sigma_s = std::hypot(end.sigma_s, kHoldSpread * early_s);
}

/// Two estimates of one crossing, weighed by their variances. They share readings, so the sigma is
/// the smaller one's and not less.
Crossing mean_of(const Crossing& a, const Crossing& b) {
  const double wa = 1.0 / std::max(a.sigma_s * a.sigma_s, 1e-8);
  const double wb = 1.0 / std::max(b.sigma_s * b.sigma_s, 1e-8);
  return {
      (wa * a.t_s + wb * b.t_s) / (wa + wb), std::min(a.sigma_s, b.sigma_s), a.known && b.known};
}

// A hole between a movement and what was taken to go on beyond it: as likely as not it was over
// before. Half the time between the two.
double doubt_of_hole(const Motion& motion, double inner_s, double outer_s) {
  const double from_s = std::min(inner_s, outer_s);
  const double to_s = std::max(inner_s, outer_s);
  for (std::size_t i = sample_before(motion, from_s);
       i + 1 < motion.samples.size() && motion.samples[i].t_s < to_s;
       ++i) {
    const bool joined =
        i < motion.links.size() ? motion.links[i].joined : motion.samples[i].measured;
    if (!joined) return 0.5 * (to_s - from_s);
  }
  return 0.0;
}

// The travel in one direction within a window of samples: its largest stretch over the threshold
// with what belongs to it on either side.
std::optional<Travel> find_travel(
    const Motion& motion, std::size_t first, std::size_t last, int direction, double th) {
  const double margin = above_drift(motion, first, last, direction);
  const auto stretches = stretches_over(motion, first, last, direction, th + margin);
  if (stretches.empty()) return std::nullopt;
  const auto main = std::max_element(
      stretches.begin(), stretches.end(), [](auto& a, auto& b) { return a.gain_m < b.gain_m; });
  const auto centre = static_cast<std::size_t>(main - stretches.begin());
  std::size_t from = centre;
  std::size_t to = centre;
  const auto height = [&](double t) { return direction * state_at(motion, t).height_m; };
  const auto significant = [](const StretchOverThreshold& s) {
    return s.excess_sigmas > kNoiseSigmas;
  };
  const auto gained = [&] { return height(stretches[to].to_s) - height(stretches[from].from_s); };
  for (bool grew = true; grew;) {
    grew = false;
    for (std::size_t k = to + 1; k < stretches.size(); ++k) {
      if (!significant(stretches[k])) continue;
      const double back = height(stretches[to].to_s) - height(stretches[k].from_s);
      const double dip_s = stretches[k].from_s - stretches[to].to_s;
      if (one_movement(gained(), stretches[k].gain_m, dip_s, back)) {
        to = k;
        grew = true;
      }
      break;
    }
    for (std::size_t k = from; k-- > 0;) {
      if (!significant(stretches[k])) continue;
      const double back = height(stretches[k].to_s) - height(stretches[from].from_s);
      const double dip_s = stretches[from].from_s - stretches[k].to_s;
      if (one_movement(gained(), stretches[k].gain_m, dip_s, back)) {
        from = k;
        grew = true;
      }
      break;
    }
  }
  // Noise makes a slow start or finish cross the threshold several times; the time it spends over
  // the threshold there is an even-handed estimate of where one crossing would have been.
  double start_s = stretches[from].from_s;
  double end_s = stretches[to].to_s;
  double before_s = start_s;
  for (std::size_t k = from; k-- > 0 && !significant(stretches[k]);) {
    if (before_s - stretches[k].to_s > kNoiseWithin_s) break;
    start_s -= stretches[k].to_s - stretches[k].from_s;
    before_s = stretches[k].from_s;
  }
  double after_s = end_s;
  for (std::size_t k = to + 1; k < stretches.size() && !significant(stretches[k]); ++k) {
    if (stretches[k].from_s - after_s > kNoiseWithin_s) break;
    end_s += stretches[k].to_s - stretches[k].from_s;
    after_s = stretches[k].to_s;
  }
  Travel travel;
  if (!motion.drift.empty()) {
    const bool from_known = stretches[from].starts_inside && state_at(motion, start_s).measured;
    const bool to_known = stretches[to].ends_inside && state_at(motion, end_s).measured;
    travel.start = carried_back(motion, start_s, from_known, direction, -1, th, margin);
    travel.end = carried_back(motion, end_s, to_known, direction, 1, th, margin);
  } else {
    travel.start = {start_s,
                    crossing_sigma(motion, start_s, direction, -1, th),
                    stretches[from].starts_inside && state_at(motion, start_s).measured};
    travel.end = {end_s,
                  crossing_sigma(motion, end_s, direction, 1, th),
                  stretches[to].ends_inside && state_at(motion, end_s).measured};
  }
  // Where the bar itself was seen around an edge, the sightings tell of it too.
  const double travel_s = end_s - start_s;
  if (sighted_around(motion, travel.start.t_s)) {
    Crossing seen = travel.start;
    refine_start(motion, direction, travel_s, th, seen);
    travel.start = motion.drift.empty() ? seen : mean_of(seen, travel.start);
  }
  if (sighted_around(motion, travel.end.t_s)) {
    Crossing seen = travel.end;
    refine_end(motion, direction, travel_s, th, seen);
    travel.end = motion.drift.empty() ? seen : mean_of(seen, travel.end);
  }
  const double start_doubt_s =
      doubt_of_hole(motion, stretches[centre].from_s, stretches[from].from_s);
  const double end_doubt_s = doubt_of_hole(motion, stretches[centre].to_s, stretches[to].to_s);
  travel.start.sigma_s = std::hypot(travel.start.sigma_s, start_doubt_s);
  travel.end.sigma_s = std::hypot(travel.end.sigma_s, end_doubt_s);
  travel.gain_m =
      state_at(motion, travel.end.t_s).height_m - state_at(motion, travel.start.t_s).height_m;
  return travel;
}

double sideways_span(const Motion& motion, double from_s, double to_s) {
  double lo = state_at(motion, from_s).x_m;
  double hi = lo;
  for (std::size_t i = sample_before(motion, from_s); i < motion.samples.size(); ++i) {
    const MotionSample& s = motion.samples[i];
    if (s.t_s < from_s) continue;
    if (s.t_s > to_s) break;
    lo = std::min(lo, s.x_m);
    hi = std::max(hi, s.x_m);
  }
  return hi - lo;
}

// Everything about the rise whose low is turns[k] and whose high is turns[k + 1].
std::optional<Rise> make_rise(const Motion& motion,
                              const std::vector<Turn>& turns,
                              std::size_t k,
                              double th) {
  const std::vector<MotionSample>& s = motion.samples;
  const std::size_t low = turns[k].sample;
  const std::size_t high = turns[k + 1].sample;
  // Holding a place between turns may wander past the turn itself, so look as far as the next ones.
  const std::size_t first = k > 0 ? turns[k - 1].sample : 0;
  const std::size_t last = k + 2 < turns.size() ? turns[k + 2].sample : s.size() - 1;
  const auto up = find_travel(motion, first, last, 1, th);
  if (!up) return std::nullopt;
  Rise rise;
  rise.up = *up;
  // A bar may stop on its way up and go on later; only the part that is the rise counts.
  rise.low_m = state_at(motion, up->start.t_s).height_m;
  rise.high_m = std::max(s[high].height_m, state_at(motion, up->end.t_s).height_m);
  rise.next_low_m = rise.high_m;
  rise.sideways_m = sideways_span(motion, up->start.t_s, up->end.t_s);
  rise.cut_at_start = up->start.t_s <= s.front().t_s && !rest_within_drift(motion, 0, 1, th);
  rise.cut_at_end = up->end.t_s >= s.back().t_s && !rest_within_drift(motion, s.size() - 1, 1, th);
  rise.held_before_s = up->start.t_s - s.front().t_s;
  rise.stays_up_s = s.back().t_s - up->end.t_s;
  if (k > 0) {
    rise.drop_before_m = s[turns[k - 1].sample].height_m - s[low].height_m;
    const std::size_t down_first = k > 1 ? turns[k - 2].sample : 0;
    rise.down_before = find_travel(motion, down_first, high, -1, th);
    if (rise.down_before) {
      const Travel& down = *rise.down_before;
      rise.held_before_s = up->start.t_s - down.end.t_s;
      rise.descent_sideways_m = sideways_span(motion, down.start.t_s, down.end.t_s);
      for (std::size_t i = first; i <= low; ++i) {
        rise.descent_peak_mps = std::max(rise.descent_peak_mps, -s[i].velocity_mps);
      }
    }
  }
  rise.last_of_clip = k + 2 >= turns.size();
  if (!rise.last_of_clip) {
    rise.next_low_m = s[last].height_m;
    rise.drop_after_m = rise.high_m - rise.next_low_m;
    if (const auto down = find_travel(motion, high, last, -1, th)) {
      rise.stays_up_s = down->start.t_s - up->end.t_s;
    }
  }
  return rise;
}

}  // namespace

std::vector<Rise> find_rises(const Motion& motion, double threshold_mps, double least_rise_m) {
  const std::vector<Turn> turns = find_turns(motion.samples, std::min(kTurn_m, 0.4 * least_rise_m));
  std::vector<std::optional<Rise>> made(turns.size());
  share_work(cores(), turns.size(), [&](std::size_t k) {
    if (k + 1 < turns.size() && !turns[k].high)
      made[k] = make_rise(motion, turns, k, threshold_mps);
  });
  std::vector<Rise> rises;
  for (const std::optional<Rise>& rise : made) {
    if (rise && rise->up.gain_m >= least_rise_m) rises.push_back(*rise);
  }
  return rises;
}

}  // namespace kinetics
