#include "libkinetics/kinematics/force.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "libkinetics/kinematics/extremum.h"
#include "libkinetics/kinematics/posterior.h"
#include "libkinetics/kinematics/propulsive.h"

namespace kinetics {
namespace {

constexpr int kSteps = 1000;

double square(double x) {
  return x * x;
}

/// A rise with all that its forces are made of.
struct Lifted {
  const Motion& motion;
  const BarLoad& load;
  BarHeight height;
  double threshold_mps = 0.0;
  std::vector<MotionSample> states;

  [[nodiscard]] double above_floor_m(const MotionSample& s) const {
    return s.height_m + height.at_path_zero_m;
  }
  [[nodiscard]] LoadAt load_of(const MotionSample& s) const {
    return load_at(load, above_floor_m(s));
  }
};

/// Work and impulse from the start of the rise to one of its states.
struct Balance {
  double duration_s = 0.0;
  double work_j = 0.0;
  double impulse_ns = 0.0;
  [[nodiscard]] double force_n() const { return impulse_ns / duration_s; }
  [[nodiscard]] double power_w() const { return work_j / duration_s; }
};

/// The weight over time, and what rattling links take, add up along the way; the rest is known from
/// the ends alone. `end_velocity_mps` is the bar's at the last of them.
Balance balance_to(const Lifted& l, std::size_t end, double end_velocity_mps) {
  const MotionSample& from = l.states.front();
  const MotionSample& to = l.states[end];
  const LoadAt first = l.load_of(from);
  const LoadAt last = l.load_of(to);
  double weight_ns = 0.0;
  double rattle_j = 0.0;
  LoadAt before = first;
  const auto rattle = [](const LoadAt& at, const MotionSample& s) {
    return 0.5 * at.picked_up_kg_per_m * std::pow(std::max(s.velocity_mps, 0.0), 3);
  };
  for (std::size_t i = 1; i <= end; ++i) {
    const LoadAt here = l.load_of(l.states[i]);
    const double half_dt = 0.5 * (l.states[i].t_s - l.states[i - 1].t_s);
    weight_ns += half_dt * (before.weight_n + here.weight_n);
    rattle_j += half_dt * (rattle(before, l.states[i - 1]) + rattle(here, l.states[i]));
    before = here;
  }
  const double v0 = l.threshold_mps;
  const double v1 = end_velocity_mps;
  return {.duration_s = to.t_s - from.t_s,
          .work_j = potential_energy_j(l.load, l.above_floor_m(to)) -
                    potential_energy_j(l.load, l.above_floor_m(from)) +
                    0.5 * (last.moving_kg * v1 * v1 - first.moving_kg * v0 * v0) + rattle_j,
          .impulse_ns = weight_ns + last.moving_kg * v1 - first.moving_kg * v0};
}

void measure_loads(const Lifted& l, const Rep& rep, RepForces& out) {
  const double g = l.load.gravity_mps2;
  const auto kg = [&](const MotionSample& s, double rom_share) {
    const double sigma_m =
        std::hypot(l.height.sigma_m, std::hypot(s.height_sigma_m, rom_share * rep.rom_m.sigma()));
    const LoadAt at = with_height_sigma(l.load_of(s), sigma_m);
    return Measured(at.weight_n / g, at.weight_sigma_n / g);
  };
  const double bottom = l.above_floor_m(l.states.front());
  const double top = l.above_floor_m(l.states.back());
  const LoadSpan span = load_span(l.load, bottom, top);
  out.bottom_load_kg = kg(l.states.front(), 0.0);
  out.top_load_kg = kg(l.states.back(), 1.0);
  const double by_height = (span.top.weight_n - span.bottom.weight_n) / (top - bottom) *
                           std::hypot(l.height.sigma_m, 0.5 * rep.rom_m.sigma());
  out.mean_load_kg =
      Measured(span.straight_kg, std::hypot(span.mean_weight_sigma_n, by_height) / g);
}

/// Standard errors that the whole rise gets from its load, its length and its time.
void measure_whole(const Lifted& l, const Rep& rep, RepForces& out) {
  const Balance whole = balance_to(l, l.states.size() - 1, l.threshold_mps);
  const double rom = rep.rom_m.value();
  const double load_sigma_n = l.load.gravity_mps2 * out.mean_load_kg.sigma();
  const double mean_weight_n = whole.work_j / rom;
  const LoadAt bottom = l.load_of(l.states.front());
  const LoadAt top = l.load_of(l.states.back());
  // One standard error of each end is sqrt(1/2) of the duration's.
  const double end_s = rep.concentric_s.sigma() / std::numbers::sqrt2;
  const double mean_n = whole.force_n();
  const double by_ends = std::hypot(top.weight_n - mean_n, mean_n - bottom.weight_n) * end_s;
  out.work_j =
      Measured(whole.work_j, std::hypot(mean_weight_n * rep.rom_m.sigma(), rom * load_sigma_n));
  out.mean_power_w = Measured(whole.power_w(),
                              std::hypot(mean_weight_n * rep.mean_velocity_mps.sigma(),
                                         rep.mean_velocity_mps.value() * load_sigma_n));
  out.mean_force_n = Measured(mean_n, std::hypot(load_sigma_n, by_ends / whole.duration_s));
  out.impulse_ns =
      Measured(whole.impulse_ns,
               std::hypot(mean_n * rep.concentric_s.sigma(), whole.duration_s * load_sigma_n));
}

// A smoother's covariance holds the noise it lets through and the motion it smooths away. At a peak
// the first counts, with these shares of the variance of height, velocity and acceleration (see
// extremum.cpp): it lifts the highest instant, by about its own sigma where the curve is flat
// beside the noise, as a force is, and by less where it is not. By the coverage test.
const Eigen::Vector3d kLetThrough(1.0, std::sqrt(1.0 / 2.0), std::sqrt(1.0 / 6.0));
constexpr double kForceLift = 1.0;
constexpr double kPowerLift = 0.7;
// Noise alone would leave the same sigma. Pictures add what is not white, and sharp turns are
// blunted or overshot: on rendered clips peaks miss by this much more (depth_accuracy).
constexpr double kForceSpread = 2.4;
constexpr double kPowerSpread = 1.4;

/// How force and power follow height, velocity and acceleration at one instant.
struct Slopes {
  LoadAt load;
  double force_n = 0.0;
  Eigen::Vector3d of_force;
  Eigen::Vector3d of_power;
};

Slopes slopes_at(const Lifted& l, const MotionSample& s) {
  Slopes out{.load = l.load_of(s), .of_force = {}, .of_power = {}};
  out.force_n = push_n(out.load, s.velocity_mps, s.accel_mps2);
  const double links = 2.0 * out.load.picked_up_kg_per_m * std::max(s.velocity_mps, 0.0);
  out.of_force = {out.load.weight_slope_n_per_m, links, out.load.moving_kg};
  out.of_power = s.velocity_mps * out.of_force + out.force_n * Eigen::Vector3d::UnitY();
  return out;
}

struct Errors {
  double force_n = 0.0;
  double power_w = 0.0;
};

/// Errors of force and power at one instant from the state's own, each weighed by `share`.
Errors own_errors(const Lifted& l, const MotionSample& s, const Eigen::Vector3d& share) {
  const Slopes k = slopes_at(l, s);
  const Eigen::MatrixXd c = covariance_of(
      l.motion,
      {{{s.t_s, share.cwiseProduct(k.of_force)}}, {{s.t_s, share.cwiseProduct(k.of_power)}}});
  return {std::sqrt(std::max(c(0, 0), 0.0)), std::sqrt(std::max(c(1, 1), 0.0))};
}

/// Adds what the samples share: sightings pulled one way for a while, the scale, the readout, the
/// load and the height it hangs at.
Errors with_common(const Lifted& l, const MotionSample& s, const Errors& own) {
  const Slopes k = slopes_at(l, s);
  const double lasting = lasting_sigma(l.motion, s.t_s);
  const double lasting_n = k.load.moving_kg * lasting / square(kLasting_s);
  const double lasting_w = s.velocity_mps * lasting_n + k.force_n * lasting / kLasting_s;
  const double scale_n = l.motion.scale_sigma_rel * k.load.moving_kg * s.accel_mps2;
  const double scale_w = s.velocity_mps * (scale_n + k.force_n * l.motion.scale_sigma_rel);
  const double shutter_w = k.force_n * l.motion.shutter_sigma_s_per_m * square(s.velocity_mps);
  const double load_n = with_height_sigma(k.load, l.height.sigma_m).weight_sigma_n;
  const Eigen::Vector4d force(own.force_n, lasting_n, scale_n, load_n);
  const Eigen::Matrix<double, 5, 1> power{
      own.power_w, lasting_w, scale_w, shutter_w, s.velocity_mps * load_n};
  return {force.norm(), power.norm()};
}

void measure_peaks(const Lifted& l, RepForces& out) {
  const auto force = [&](const MotionSample& s) {
    return push_n(l.load_of(s), s.velocity_mps, s.accel_mps2);
  };
  const auto power = [&](const MotionSample& s) { return force(s) * s.velocity_mps; };
  const auto highest = [&](const auto& of) {
    return *std::max_element(l.states.begin(), l.states.end(), [&](const auto& a, const auto& b) {
      return of(a) < of(b);
    });
  };
  const MotionSample strongest = highest(force);
  const MotionSample most = highest(power);
  // Errors that last do not lift one instant over its neighbours.
  const bool lasts = !l.motion.drift.empty();
  const Eigen::Vector3d share = lasts ? Eigen::Vector3d(Eigen::Vector3d::Ones()) : kLetThrough;
  const Errors at_strongest = own_errors(l, strongest, share);
  const Errors at_most = own_errors(l, most, share);
  const double lift_n = lasts ? 0.0 : kForceLift * at_strongest.force_n;
  const double lift_w = lasts ? 0.0 : kPowerLift * at_most.power_w;
  const Errors force_own{(lasts ? 1.0 : kForceSpread) * at_strongest.force_n, 0.0};
  const Errors power_own{0.0, (lasts ? 1.0 : kPowerSpread) * at_most.power_w};
  out.peak_force_n =
      Measured(force(strongest) - lift_n, with_common(l, strongest, force_own).force_n);
  out.peak_power_w = Measured(power(most) - lift_w, with_common(l, most, power_own).power_w);
}

// Much of the covariance where the phase ends is motion smoothed away, which the balance up to
// there makes good again; this share of the standard errors counts. By the coverage test.
constexpr double kEndShare = 0.65;

void measure_propulsive(const Lifted& l, const Rep& rep, RepForces& out) {
  const std::size_t end = propulsive_end(l.states, 0.0);
  const auto to = [&](std::size_t i) {
    const bool whole = i + 1 == l.states.size();
    return balance_to(l, i, whole ? l.threshold_mps : l.states[i].velocity_mps);
  };
  const Balance b = to(end);
  // Where the phase ends hangs on a noisy acceleration; when it grazes -g the end may jump.
  double impulse_jump = 0.0;
  double force_jump = 0.0;
  double power_jump = 0.0;
  for (const double lean : {-2.0, -1.0, 1.0, 2.0}) {
    const std::size_t other = propulsive_end(l.states, lean);
    if (other == end) continue;
    const Balance a = to(other);
    const double share = kEndShare / std::abs(lean);
    impulse_jump = std::max(impulse_jump, share * std::abs(a.impulse_ns - b.impulse_ns));
    force_jump = std::max(force_jump, share * std::abs(a.force_n() - b.force_n()));
    power_jump = std::max(power_jump, share * std::abs(a.power_w() - b.power_w()));
  }
  if (end + 1 == l.states.size()) {
    const auto or_jump = [](const Measured& m, double by) {
      return Measured(m.value(), std::hypot(m.sigma(), by));
    };
    out.propulsive_impulse_ns = or_jump(out.impulse_ns, impulse_jump);
    out.propulsive_force_n = or_jump(out.mean_force_n, force_jump);
    out.propulsive_power_w = or_jump(out.mean_power_w, power_jump);
    return;
  }
  // A phase that ends under way has the momentum and energy of that instant beside the weight's.
  const MotionSample& last = l.states[end];
  const double v_sigma = with_shared(l.motion,
                                     std::hypot(kEndShare * last.velocity_sigma_mps,
                                                lasting_sigma(l.motion, last.t_s) / kLasting_s),
                                     last.velocity_mps);
  const double momentum = l.load_of(last).moving_kg * v_sigma;
  const double start_s = rep.concentric_s.sigma() / std::numbers::sqrt2;
  const double bottom_n = l.load_of(l.states.front()).weight_n;
  const double load_n = l.load.gravity_mps2 * out.mean_load_kg.sigma();
  const double force = b.force_n();
  const double power = b.power_w();
  const auto spread = [](double start, double finish, double jump, double load_error) {
    return Eigen::Vector4d(start, finish, jump, load_error).norm();
  };
  const double lasted_s = b.duration_s;
  out.propulsive_impulse_ns =
      Measured(b.impulse_ns, spread(bottom_n * start_s, momentum, impulse_jump, lasted_s * load_n));
  out.propulsive_force_n = Measured(
      force,
      spread((force - bottom_n) * start_s / lasted_s, momentum / lasted_s, force_jump, load_n));
  const double height_w = bottom_n * rep.rom_m.sigma() / lasted_s;
  out.propulsive_power_w = Measured(power,
                                    std::hypot(spread(power * start_s / lasted_s,
                                                      momentum * last.velocity_mps / lasted_s,
                                                      power_jump,
                                                      power / force * load_n),
                                               height_w));
}

Lifted lifted(const Motion& motion,
              const Rep& rep,
              const BarLoad& load,
              const std::optional<BarHeight>& height,
              double threshold_mps,
              int steps) {
  return {.motion = motion,
          .load = load,
          .height = height.value_or(BarHeight{0.0, 0.0}),
          .threshold_mps = threshold_mps,
          .states = sweep(motion, rep.start_s, rep.end_s, steps)};
}

}  // namespace

bool changes_with_height(const BarLoad& load) {
  return !load.chains.empty() || !load.bands.empty();
}

std::vector<ForceSample> force_along(const Motion& motion,
                                     const Rep& rep,
                                     const BarLoad& load,
                                     const std::optional<BarHeight>& height,
                                     int steps) {
  const Lifted l = lifted(motion, rep, load, height, 0.0, steps);
  std::vector<ForceSample> out;
  for (const MotionSample& s : l.states) {
    const LoadAt at = l.load_of(s);
    const double force = push_n(at, s.velocity_mps, s.accel_mps2);
    const Errors errors = with_common(l, s, own_errors(l, s, Eigen::Vector3d::Ones()));
    out.push_back({.t_s = s.t_s,
                   .height_m = s.height_m,
                   .velocity_mps = s.velocity_mps,
                   .load_kg = at.weight_n / load.gravity_mps2,
                   .force_n = force,
                   .force_sigma_n = errors.force_n,
                   .power_w = force * s.velocity_mps,
                   .power_sigma_w = errors.power_w});
  }
  return out;
}

RepForces rep_forces(const Motion& motion,
                     const Rep& rep,
                     const BarLoad& load,
                     const std::optional<BarHeight>& height,
                     double threshold_mps) {
  if (!rep.mean_velocity_mps.ok()) return no_forces(rep.mean_velocity_mps.reason());
  if (changes_with_height(load) && !height) return no_forces(Reason::kHeightUnknown);
  const Lifted l = lifted(motion, rep, load, height, threshold_mps, kSteps);
  RepForces out;
  measure_loads(l, rep, out);
  measure_whole(l, rep, out);
  if (!rep.peak_velocity_mps.ok()) {
    const Reason why = rep.peak_velocity_mps.reason();
    out.peak_force_n = out.peak_power_w = why;
    out.propulsive_force_n = out.propulsive_power_w = out.propulsive_impulse_ns = why;
    return out;
  }
  measure_peaks(l, out);
  measure_propulsive(l, rep, out);
  return out;
}

RepForces no_forces(Reason reason) {
  const Measured none = reason;
  return {none, none, none, none, none, none, none, none, none, none, none, none};
}

}  // namespace kinetics
