#include "libkinetics/inertial/estimate_log.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/attitude.h"
#include "libkinetics/inertial/bins.h"
#include "libkinetics/inertial/handled.h"
#include "libkinetics/inertial/lockouts.h"
#include "libkinetics/inertial/log_estimate.h"
#include "libkinetics/inertial/position_log.h"
#include "libkinetics/inertial/stillness.h"
#include "libkinetics/inertial/vertical.h"

namespace kinetics {
namespace {

constexpr double kShortestLog_s = 2.0;
constexpr std::size_t kFewestRows = 20;
// An uncalibrated sensor may be off by this share of gravity; beyond, the unit is another one.
constexpr double kMostOffGravity = 0.25;
constexpr double kWorthSaying = 0.04;
void check_options(const StrapdownOptions& o) {
  if (!(o.gravity_mps2 > 9.7 && o.gravity_mps2 < 9.9)) {
    throw Error(ErrorCode::kUsage,
                "gravity",
                fmt::format("{:g} m/s² is found nowhere on the ground", o.gravity_mps2),
                "Leave it out for 9.80665");
  }
  if (!(o.rate_hz >= 20.0 && o.rate_hz <= 400.0)) {
    throw Error(ErrorCode::kUsage, "rate", "it must lie between 20 and 400 Hz", "100 Hz is usual");
  }
  if (!(o.lockout_sigma_m > 0.0)) {
    throw Error(ErrorCode::kUsage, "lockout height", "it must be positive", "0.02 m is usual");
  }
}

void check_log(const SensorLog& log) {
  const double span_s =
      log.samples.empty() ? 0.0 : log.samples.back().t_s - log.samples.front().t_s;
  if (log.samples.size() >= kFewestRows && span_s >= kShortestLog_s) return;
  throw Error(ErrorCode::kUnreadable,
              "sensor log",
              fmt::format("{} rows over {:.1f} s are too little to estimate a motion from",
                          log.samples.size(),
                          span_s),
              "Record the whole set, with a few seconds of rest before and after");
}

double mean_size(const std::vector<Bin>& bins, const Stillness& stillness) {
  double sum = 0.0;
  double count = 0.0;
  for (const CalmStretch& s : stillness.still) {
    for (std::size_t i = s.first; i <= s.last; ++i) sum += bins[i].accel_mps2.norm();
    count += static_cast<double>(s.last - s.first + 1);
  }
  if (count > 0.0) return sum / count;
  for (const Bin& b : bins) sum += b.size_mps2;
  return sum / static_cast<double>(bins.size());
}

Trust last_trust(const StrapdownOptions& options) {
  return {options.lockout_sigma_m, 0.05, 0.03, 1.0};
}

void run_pass(LogEstimate& estimate, const Trust& trust) {
  estimate.assumed = assume_from(estimate.readings, estimate.states, trust);
  estimate.facts.lockouts = estimate.assumed.lockouts.size();
  smooth_states(upward_model(estimate.readings, estimate.assumed), estimate.states);
}

void run_passes(LogEstimate& estimate, const StrapdownOptions& options) {
  smooth_states(upward_model(estimate.readings, {}), estimate.states);
  const Trust passes[] = {{0.10, 0.30, 0.12, 3.0},
                          {0.04, 0.10, 0.08, 2.0},
                          {options.lockout_sigma_m, 0.05, 0.05, 1.0},
                          last_trust(options)};
  for (const Trust& trust : passes) run_pass(estimate, trust);
}

// What the bins say of the bar's upward acceleration, and of the sensor's turns.
SensorTurns read_upward(const std::vector<Bin>& bins,
                        bool has_gyroscope,
                        const StrapdownOptions& options,
                        LogEstimate& out) {
  const Stillness stillness = find_stillness(bins, has_gyroscope);
  LogFacts& facts = out.facts;
  facts.gravity_read_mps2 = mean_size(bins, stillness);
  facts.accel_noise_mps2 = stillness.accel_noise_mps2;
  for (const CalmStretch& s : stillness.still) {
    facts.still_s += bins[s.last].t_s - bins[s.first].t_s;
  }
  const double off = facts.gravity_read_mps2 / options.gravity_mps2 - 1.0;
  if (!(std::abs(off) < kMostOffGravity)) {
    throw Error(ErrorCode::kUnreadable,
                "sensor log",
                fmt::format("the accelerations average {:.2f} m/s², nowhere near gravity",
                            facts.gravity_read_mps2),
                "Check the unit of the accelerations, and that gravity was not taken off");
  }
  std::optional<Attitude> attitude;
  if (has_gyroscope) {
    attitude = first_attitude(bins, stillness);
    refine_attitude(bins, stillness, options.gravity_mps2, *attitude);
    facts.gyroscope_used = true;
    facts.scale = attitude->scale;
    facts.accel_offset_mps2 = attitude->accel_offset_mps2;
    facts.rate_bias_radps = attitude->rate_bias_radps;
  }
  out.readings =
      upward_readings(bins, stillness, attitude ? &*attitude : nullptr, options.gravity_mps2);
  SensorTurns turns;
  if (attitude) turns.spinning = attitude->spinning;
  if (attitude && attitude->refined) turns.main_axis = attitude->main_axis.cast<float>();
  return turns;
}

}  // namespace

Motion motion_of(const std::vector<UpwardReading>& readings, LogStates states) {
  Motion motion;
  const std::size_t n = readings.size();
  // Where the sensor was carried says nothing of the bar, so the height stays what it was.
  double carried_m = 0.0;
  double level_m = 0.0;
  motion.samples.resize(n);
  motion.links.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    const auto& x = states.states[i];
    const DriftLink::Matrix& p = states.links[i].covariance;
    MotionSample& s = motion.samples[i];
    s.t_s = readings[i].t_s;
    if (readings[i].handled) {
      s.height_m = level_m;
      carried_m = level_m - x[at::kHeight];
    } else {
      s.height_m = level_m = x[at::kHeight] + carried_m;
      s.velocity_mps = x[at::kVelocity];
      s.accel_mps2 = x[at::kAccel];
    }
    s.height_sigma_m = std::sqrt(std::max(p(0, 0), 0.0));
    s.velocity_sigma_mps = std::sqrt(std::max(p(1, 1), 0.0));
    s.accel_sigma_mps2 = std::sqrt(std::max(p(2, 2), 0.0));
    s.measured = !readings[i].handled;
    MotionLink& link = motion.links[i];
    link.covariance = p.topLeftCorner<3, 3>();
    if (i + 1 == n) break;
    link.to_next = (states.links[i].gain * states.links[i + 1].covariance).topLeftCorner<3, 3>();
    link.jerk_psd_m2ps5 = readings[i].jerk_psd;
    link.slack_m2 = readings[i].lever_variance_m2;
    link.joined = !readings[i].hole_after && !readings[i].handled && !readings[i + 1].handled;
  }
  motion.drift = std::move(states.links);
  return motion;
}

std::vector<Bin> condensed(const SensorLog& log, const StrapdownOptions& options) {
  check_options(options);
  check_log(log);
  return condense(log, options.rate_hz);
}

LogEstimate estimate_upward(std::vector<Bin> bins,
                            bool has_gyroscope,
                            const StrapdownOptions& options) {
  LogEstimate out;
  const SensorTurns turns = read_upward(bins, has_gyroscope, options, out);
  bins = std::vector<Bin>();  // "{}" would keep the memory
  run_passes(out, options);
  // What was carried is no part of a set, so the last pass is made again without it.
  if (mark_handled(out.readings, out.states, turns)) run_pass(out, last_trust(options));
  for (std::size_t i = 0; i + 1 < out.readings.size(); ++i) {
    if (out.readings[i].clipped) {
      out.facts.clipped_s += out.readings[i + 1].t_s - out.readings[i].t_s;
    }
  }
  return out;
}

Notes notes_on(const LogEstimate& estimate, const StrapdownOptions& options) {
  Notes notes;
  const LogFacts& facts = estimate.facts;
  if (!facts.gyroscope_used) {
    notes.push_back({NoteKind::kCaution,
                     "The log has no gyroscope: the length of the acceleration stands for its "
                     "upward part, and the intervals are wide."});
  }
  if (facts.still_s <= 0.0) {
    notes.push_back({NoteKind::kCaution,
                     "The sensor never lay still. Let it rest for three seconds before and after "
                     "the set to make the velocities surer."});
  }
  const double off = facts.gravity_read_mps2 / options.gravity_mps2 - 1.0;
  if (std::abs(off) > kWorthSaying) {
    notes.push_back({NoteKind::kCaution,
                     fmt::format("At rest the accelerations come to {:.2f} m/s² instead of {:.2f}: "
                                 "the sensor is not calibrated.",
                                 facts.gravity_read_mps2,
                                 options.gravity_mps2)});
  }
  if (facts.clipped_s > 0.0) {
    notes.push_back({NoteKind::kCaution,
                     fmt::format("Readings stood at the end of the sensor's range for {:.2f} s; "
                                 "what they missed is counted in the intervals.",
                                 facts.clipped_s)});
  }
  const auto carried = std::find_if(estimate.readings.begin(),
                                    estimate.readings.end(),
                                    [](const UpwardReading& r) { return r.handled; });
  if (carried != estimate.readings.end()) {
    notes.push_back(
        {NoteKind::kDecision,
         fmt::format("Around {:.1f} s the sensor was moved as in no rep: carried, or walked about "
                     "with. What it read there was left out.",
                     carried->t_s)});
  }
  return notes;
}

LogMotion estimate_log_motion(SensorLog log, const StrapdownOptions& options) {
  LogMotion out;
  if (!log.positions.empty()) {
    check_options(options);
    out.motion = motion_of_positions(log);
    return out;
  }
  std::vector<Bin> bins = condensed(log, options);
  log.samples = std::vector<SensorSample>();  // "{}" would keep the memory
  LogEstimate estimate = estimate_upward(std::move(bins), log.has_gyroscope, options);
  out.notes = notes_on(estimate, options);
  out.facts = estimate.facts;
  out.motion = motion_of(estimate.readings, std::move(estimate.states));
  out.motion.scale_sigma_rel = kAccelScaleSigma;
  out.motion.stamp_sigma_s = log.stamp_sigma_s;
  return out;
}

}  // namespace kinetics
