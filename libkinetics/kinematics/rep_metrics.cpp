#include "libkinetics/kinematics/rep_metrics.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "libkinetics/kinematics/extremum.h"
#include "libkinetics/kinematics/propulsive.h"

namespace kinetics {
namespace {

// More of the concentric phase out of sight than this, and its numbers would be guesses.
constexpr double kMostHidden = 0.35;
constexpr std::size_t kFewestFrames = 5;
// The pull of a snatch peaks near 2 m/s, an empty bar that is thrown at some 3 (common practice, no
// source).
constexpr double kFasterThanAnyBar_mps = 3.5;

double square(double x) {
  return x * x;
}

struct Sight {
  std::size_t frames = 0;
  double hidden_s = 0.0;
};

Sight sight(const Motion& motion, double from_s, double to_s) {
  Sight out;
  const std::vector<MotionSample>& s = motion.samples;
  for (std::size_t i = sample_before(motion, from_s); i < s.size() && s[i].t_s <= to_s; ++i) {
    if (s[i].t_s >= from_s && s[i].measured) ++out.frames;
    if (i + 1 >= s.size()) break;
    const bool joined =
        i < motion.links.size() ? motion.links[i].joined : s[i].measured && s[i + 1].measured;
    if (!joined) out.hidden_s += std::min(s[i + 1].t_s, to_s) - std::max(s[i].t_s, from_s);
  }
  return out;
}

// Whether something else than the bar was followed on the phase's way.
bool leaves_bar(const Motion& motion, double from_s, double to_s) {
  const std::vector<MotionSample>& s = motion.samples;
  for (std::size_t i = sample_before(motion, from_s); i < s.size() && s[i].t_s <= to_s; ++i) {
    if (s[i].t_s <= from_s) continue;
    if (s[i].jumped || s[i].velocity_mps > kFasterThanAnyBar_mps) return true;
  }
  return false;
}

// Errors that one phase carries: of the heights at its ends and of the ends themselves.
struct PhaseErrors {
  double height_sigma_m = 0.0;
  double start_sigma_s = 0.0;
  double end_sigma_s = 0.0;
};

PhaseErrors phase_errors(const Motion& motion, const Travel& travel) {
  const double from = std::hypot(state_at(motion, travel.start.t_s).height_sigma_m,
                                 lasting_sigma(motion, travel.start.t_s));
  const double to = std::hypot(state_at(motion, travel.end.t_s).height_sigma_m,
                               lasting_sigma(motion, travel.end.t_s));
  const double time = std::hypot(0.5 * motion.stamp_sigma_s, motion.slow_time_sigma_s);
  return {.height_sigma_m = std::hypot(from, to),
          .start_sigma_s = std::hypot(travel.start.sigma_s, time),
          .end_sigma_s = std::hypot(travel.end.sigma_s, time)};
}

// Error of a mean velocity over a phase. Moving an end by dt adds threshold * dt of height, so the
// mean changes by (threshold - mean) / duration per second.
double own_mean_sigma(const PhaseErrors& e, double mean, double duration_s, double threshold) {
  const double lever = (std::abs(mean) - threshold) / duration_s;
  return std::sqrt(square(e.height_sigma_m / duration_s) + square(lever * e.start_sigma_s) +
                   square(lever * e.end_sigma_s));
}

// A phase whose errors last: the drift that raises its end also raises its start, and moves the
// instants at which the velocity passes the threshold. All of it is one linear form in the errors
// of height and velocity at the two ends.
struct LastingErrors {
  double mean_sigma_mps = 0.0;
  double rom_sigma_m = 0.0;
  double duration_sigma_s = 0.0;
};

LastingErrors lasting_errors(const Motion& motion, const Travel& travel, double threshold) {
  const double duration = travel.end.t_s - travel.start.t_s;
  const double mean = travel.gain_m / duration;
  const Eigen::Matrix4d c = joint_covariance(motion, travel.start.t_s, travel.end.t_s);
  // Too fast an estimate passes the threshold too early at the start, too late at the end.
  const auto seconds_per_mps = [](const Crossing& crossing, double variance) {
    return crossing.sigma_s / std::sqrt(std::max(variance, 1e-12));
  };
  const double direction = travel.gain_m < 0.0 ? -1.0 : 1.0;
  const Eigen::Vector4d start(0.0, -direction * seconds_per_mps(travel.start, c(1, 1)), 0.0, 0.0);
  const Eigen::Vector4d end(0.0, 0.0, 0.0, direction * seconds_per_mps(travel.end, c(3, 3)));
  const Eigen::Vector4d height(-1.0, 0.0, 1.0, 0.0);
  const double at_ends = direction * threshold;
  const Eigen::Vector4d rom = height + at_ends * (end - start);
  const Eigen::Vector4d length = end - start;
  const Eigen::Vector4d slope = (rom - mean * length) / duration;
  const auto sigma = [&](const Eigen::Vector4d& form) {
    return std::sqrt(std::max(form.dot(c * form), 0.0));
  };
  const double stamps = motion.stamp_sigma_s / std::sqrt(2.0);
  return {
      .mean_sigma_mps = std::hypot(sigma(slope), (std::abs(mean) - threshold) / duration * stamps),
      .rom_sigma_m = std::hypot(sigma(rom), threshold * stamps),
      .duration_sigma_s = std::hypot(sigma(length), stamps)};
}

struct Peak {
  double t_s = 0.0;
  double velocity_mps = 0.0;
  double sigma_mps = 0.0;
  double t_sigma_s = 0.0;
};

// How far the time of the peak may be off because another hump is as high within the noise.
double rival_peaks_sigma(const std::vector<MotionSample>& sweep, std::size_t peak, double sigma) {
  double weight = 1.0;
  double spread = 0.0;
  for (std::size_t i = 1; i + 1 < sweep.size(); ++i) {
    const double v = sweep[i].velocity_mps;
    if (i == peak || v < sweep[i - 1].velocity_mps || v <= sweep[i + 1].velocity_mps) continue;
    const double below = sweep[peak].velocity_mps - v;
    const double w = std::exp(-below * below / (4.0 * sigma * sigma));
    weight += w;
    spread += w * square(sweep[i].t_s - sweep[peak].t_s);
  }
  return std::sqrt(spread / weight);
}

Peak find_peak(const Motion& motion, double from_s, double to_s) {
  const std::vector<MotionSample> all = sweep(motion, from_s, to_s, 400);
  const auto top = std::max_element(all.begin(), all.end(), [](const auto& a, const auto& b) {
    return a.velocity_mps < b.velocity_mps;
  });
  const Extremum at = extremum_at(motion, top->t_s, 1, from_s, to_s);
  const double rivals =
      rival_peaks_sigma(all, static_cast<std::size_t>(top - all.begin()), at.noise_mps);
  return {.t_s = at.t_s,
          .velocity_mps = at.velocity_mps,
          .sigma_mps = at.sigma_mps,
          .t_sigma_s = std::hypot(at.t_sigma_s, rivals)};
}

// Mean velocity until the bar first decelerates faster than gravity would make it, or to the end.
double propulsive_mean(const std::vector<MotionSample>& all, double lean) {
  const std::size_t end = propulsive_end(all, lean);
  return (all[end].height_m - all[0].height_m) / (all[end].t_s - all[0].t_s);
}

Measured propulsive(const Motion& motion, const Travel& up, const PhaseErrors& e, double th) {
  const std::vector<MotionSample> all = sweep(motion, up.start.t_s, up.end.t_s, 1000);
  const double duration = up.end.t_s - up.start.t_s;
  const double mean = propulsive_mean(all, 0.0);
  // Where the phase ends hangs on a noisy acceleration; when it grazes -g the end may jump.
  double jump = 0.0;
  for (const double lean : {-2.0, -1.0, 1.0, 2.0}) {
    jump = std::max(jump, std::abs(propulsive_mean(all, lean) - mean) / std::abs(lean));
  }
  const double phase = motion.drift.empty() ? own_mean_sigma(e, mean, duration, th)
                                            : lasting_errors(motion, up, th).mean_sigma_mps;
  const double own = std::hypot(phase, jump);
  return {mean, with_shared(motion, own, mean)};
}

void measure_descent(const Motion& motion, const Rise& rise, double th, Rep& rep) {
  if (!rise.down_before) {
    rep.eccentric_s = rep.eccentric_velocity_mps = rep.pause_s = Reason::kNotApplicable;
    return;
  }
  const Travel& down = *rise.down_before;
  const auto why = [&](const Crossing& c) {
    const bool outside = c.t_s <= motion.samples.front().t_s;
    return outside ? Reason::kOutsideClip : Reason::kDiscHidden;
  };
  const PhaseErrors e = phase_errors(motion, down);
  const bool one_course = !leaves_bar(motion, down.start.t_s, down.end.t_s);
  if (down.start.known && down.end.known && one_course) {
    const double duration = down.end.t_s - down.start.t_s;
    const double mean = down.gain_m / duration;
    double duration_sigma = std::hypot(e.start_sigma_s, e.end_sigma_s);
    double own_sigma = own_mean_sigma(e, mean, duration, th);
    if (!motion.drift.empty()) {
      const LastingErrors lasting = lasting_errors(motion, down, th);
      duration_sigma = lasting.duration_sigma_s;
      own_sigma = lasting.mean_sigma_mps;
    }
    rep.eccentric_s = Measured(duration, duration_sigma);
    rep.eccentric_velocity_mps = Measured(mean, with_shared(motion, own_sigma, mean));
  } else {
    rep.eccentric_s = rep.eccentric_velocity_mps =
        one_course ? why(down.start.known ? down.end : down.start) : Reason::kDiscHidden;
  }
  if (down.end.known && rise.up.start.known) {
    rep.pause_s = Measured(std::max(rise.up.start.t_s - down.end.t_s, 0.0),
                           std::hypot(down.end.sigma_s, rise.up.start.sigma_s));
  } else {
    rep.pause_s = why(down.end);
  }
}

void set_unmeasured(Rep& rep, Reason reason) {
  for (Measured* m : {&rep.mean_velocity_mps,
                      &rep.peak_velocity_mps,
                      &rep.propulsive_velocity_mps,
                      &rep.rom_m,
                      &rep.concentric_s,
                      &rep.time_to_peak_s,
                      &rep.sideways_m,
                      &rep.velocity_loss}) {
    *m = reason;
  }
}

}  // namespace

MeasuredRep measure(const Motion& motion, const Rise& rise, double threshold_mps) {
  MeasuredRep out;
  out.rise = rise;
  Rep& rep = out.rep;
  const Travel& up = rise.up;
  rep.start_s = up.start.t_s;
  rep.end_s = up.end.t_s;
  const MotionSample bottom = state_at(motion, rep.start_s);
  const MotionSample top = state_at(motion, rep.end_s);
  rep.bottom_height_m = bottom.height_m;
  rep.top_height_m = top.height_m;
  measure_descent(motion, rise, threshold_mps, rep);

  const double duration = rep.end_s - rep.start_s;
  const Sight seen = sight(motion, rep.start_s, rep.end_s);
  out.hidden = !up.start.known || !up.end.known || seen.hidden_s > kMostHidden * duration ||
               leaves_bar(motion, rep.start_s, rep.end_s);
  if (out.hidden || seen.frames < kFewestFrames) {
    set_unmeasured(rep, out.hidden ? Reason::kDiscHidden : Reason::kTooFewFrames);
    out.hidden = true;
    return out;
  }

  const PhaseErrors e = phase_errors(motion, up);
  const double rom = up.gain_m;
  const double mean = rom / duration;
  out.own_mean_sigma_mps = own_mean_sigma(e, mean, duration, threshold_mps);
  // Both ends sit where the bar moves at the threshold, so their time errors count with it.
  double rom_own =
      std::hypot(e.height_sigma_m, threshold_mps * std::hypot(e.start_sigma_s, e.end_sigma_s));
  double duration_sigma = std::hypot(e.start_sigma_s, e.end_sigma_s);
  if (!motion.drift.empty()) {
    const LastingErrors lasting = lasting_errors(motion, up, threshold_mps);
    out.own_mean_sigma_mps = lasting.mean_sigma_mps;
    rom_own = lasting.rom_sigma_m;
    duration_sigma = lasting.duration_sigma_s;
  }
  rep.mean_velocity_mps = Measured(mean, with_shared(motion, out.own_mean_sigma_mps, mean));
  rep.rom_m = Measured(rom, std::hypot(rom_own, motion.scale_sigma_rel * rom));
  rep.concentric_s = Measured(duration, duration_sigma);
  const double sideways_sigma = std::numbers::sqrt2 * std::max(e.height_sigma_m, 1e-6);
  rep.sideways_m = Measured(rise.sideways_m, sideways_sigma);
  if (seen.hidden_s > 0.0) {
    rep.peak_velocity_mps = rep.time_to_peak_s = rep.propulsive_velocity_mps = Reason::kDiscHidden;
    return out;
  }
  const Peak peak = find_peak(motion, rep.start_s, rep.end_s);
  rep.peak_velocity_mps =
      Measured(peak.velocity_mps, with_shared(motion, peak.sigma_mps, peak.velocity_mps));
  rep.time_to_peak_s =
      Measured(peak.t_s - rep.start_s, std::hypot(peak.t_sigma_s, e.start_sigma_s));
  rep.propulsive_velocity_mps = propulsive(motion, up, e, threshold_mps);
  return out;
}

}  // namespace kinetics
