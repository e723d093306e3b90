#include "libkinetics/kinematics/rep_metrics.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace kinetics {
namespace {

// Standard gravity, 3rd CGPM 1901.
constexpr double kGravity_mps2 = 9.80665;
// More of the concentric phase out of sight than this, and its numbers would be guesses.
constexpr double kMostHidden = 0.35;
constexpr std::size_t kFewestFrames = 5;
// The velocity's curvature at a peak is taken over this much of the concentric phase either side:
// closer in it is mostly noise.
constexpr double kPeakShoulder = 0.08;

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

// Errors that one phase carries: of the heights at its ends and of the ends themselves.
struct PhaseErrors {
  double height_sigma_m = 0.0;
  double start_sigma_s = 0.0;
  double end_sigma_s = 0.0;
};

PhaseErrors phase_errors(const Motion& motion, const Travel& travel) {
  const double from = state_at(motion, travel.start.t_s).height_sigma_m;
  const double to = state_at(motion, travel.end.t_s).height_sigma_m;
  return {.height_sigma_m = std::hypot(from, to),
          .start_sigma_s = std::hypot(travel.start.sigma_s, 0.5 * motion.stamp_sigma_s),
          .end_sigma_s = std::hypot(travel.end.sigma_s, 0.5 * motion.stamp_sigma_s)};
}

// Error of a mean velocity over a phase. Moving an end by dt adds threshold * dt of height, so the
// mean changes by (threshold - mean) / duration per second.
double own_mean_sigma(const PhaseErrors& e, double mean, double duration_s, double threshold) {
  const double lever = (std::abs(mean) - threshold) / duration_s;
  return std::sqrt(square(e.height_sigma_m / duration_s) + square(lever * e.start_sigma_s) +
                   square(lever * e.end_sigma_s));
}

// Adds what all velocities of the clip share: the scale, and an unknown readout time, which
// stretches time by shutter * velocity.
double with_shared(const Motion& motion, double own_sigma, double velocity) {
  const double scale = motion.scale_sigma_rel * velocity;
  const double shutter = motion.shutter_sigma_s_per_m * velocity * velocity;
  return std::sqrt(square(own_sigma) + square(scale) + square(shutter));
}

struct Peak {
  double t_s = 0.0;
  double velocity_mps = 0.0;
  double sigma_mps = 0.0;
  double t_sigma_s = 0.0;
};

// The largest of noisy velocities is biased upwards: the noise's slope moves the maximum to where
// the noise is high, by sigma_a^2 / (2 * curvature) on average. That is taken off, and widens.
Peak find_peak(const Motion& motion, double from_s, double to_s) {
  const double duration = to_s - from_s;
  constexpr int kSteps = 400;
  Peak peak;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = from_s + duration * i / kSteps;
    const double v = state_at(motion, t).velocity_mps;
    if (i == 0 || v > peak.velocity_mps) {
      peak.velocity_mps = v;
      peak.t_s = t;
    }
  }
  const MotionSample at = state_at(motion, peak.t_s);
  const double shoulder = kPeakShoulder * duration;
  const double left = std::max(peak.t_s - shoulder, from_s);
  const double right = std::min(peak.t_s + shoulder, to_s);
  const double fall = 2.0 * peak.velocity_mps - state_at(motion, left).velocity_mps -
                      state_at(motion, right).velocity_mps;
  const double curvature =
      std::max(fall, 1e-6) / (square(peak.t_s - left) + square(right - peak.t_s)) * 2.0;
  // Where the top is flat the formula has no bound, but one noise sigma is as far as it can go.
  const double bias =
      std::min(square(at.accel_sigma_mps2) / (2.0 * curvature), at.velocity_sigma_mps);
  peak.velocity_mps -= bias;
  peak.sigma_mps = std::hypot(at.velocity_sigma_mps, bias);
  peak.t_sigma_s = std::min(at.accel_sigma_mps2 / curvature, 0.25 * duration);
  return peak;
}

// The first instant at which the bar decelerates faster than gravity would make it, or the end.
double propulsion_end(const Motion& motion, double from_s, double to_s) {
  constexpr int kSteps = 1000;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = from_s + (to_s - from_s) * i / kSteps;
    if (state_at(motion, t).accel_mps2 < -kGravity_mps2) return t;
  }
  return to_s;
}

Measured propulsive(const Motion& motion, const Travel& up, const PhaseErrors& e, double th) {
  const double end_s = propulsion_end(motion, up.start.t_s, up.end.t_s);
  const double duration = end_s - up.start.t_s;
  if (duration <= 0.0) return Reason::kTooFewFrames;
  const MotionSample from = state_at(motion, up.start.t_s);
  const MotionSample to = state_at(motion, end_s);
  const double mean = (to.height_m - from.height_m) / duration;
  double end_lever = (to.velocity_mps - mean) / duration;
  double end_sigma_s = e.end_sigma_s;
  if (end_s < up.end.t_s) {
    const double before = state_at(motion, end_s - 0.01).accel_mps2;
    const double jerk = std::max(std::abs(to.accel_mps2 - before) / 0.01, 1.0);
    end_sigma_s = std::min(to.accel_sigma_mps2 / jerk, 0.25 * duration);
  }
  const double start_lever = (mean - th) / duration;
  const double own =
      std::sqrt(square(e.height_sigma_m / duration) + square(start_lever * e.start_sigma_s) +
                square(end_lever * end_sigma_s));
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
  if (down.start.known && down.end.known) {
    const double duration = down.end.t_s - down.start.t_s;
    const double mean = down.gain_m / duration;
    rep.eccentric_s = Measured(duration, std::hypot(e.start_sigma_s, e.end_sigma_s));
    rep.eccentric_velocity_mps =
        Measured(mean, with_shared(motion, own_mean_sigma(e, mean, duration, th), mean));
  } else {
    rep.eccentric_s = rep.eccentric_velocity_mps = why(down.start.known ? down.end : down.start);
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
  out.hidden = !up.start.known || !up.end.known || seen.hidden_s > kMostHidden * duration;
  if (out.hidden || seen.frames < kFewestFrames) {
    set_unmeasured(rep, out.hidden ? Reason::kDiscHidden : Reason::kTooFewFrames);
    out.hidden = true;
    return out;
  }

  const PhaseErrors e = phase_errors(motion, up);
  const double rom = up.gain_m;
  const double mean = rom / duration;
  out.own_mean_sigma_mps = own_mean_sigma(e, mean, duration, threshold_mps);
  rep.mean_velocity_mps = Measured(mean, with_shared(motion, out.own_mean_sigma_mps, mean));
  // Both ends sit where the bar moves at the threshold, so their time errors count with it.
  const double rom_own =
      std::hypot(e.height_sigma_m, threshold_mps * std::hypot(e.start_sigma_s, e.end_sigma_s));
  rep.rom_m = Measured(rom, std::hypot(rom_own, motion.scale_sigma_rel * rom));
  rep.concentric_s = Measured(duration, std::hypot(e.start_sigma_s, e.end_sigma_s));
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
