#include "libkinetics/inertial/fuse.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/align.h"
#include "libkinetics/inertial/fused_model.h"
#include "libkinetics/inertial/log_estimate.h"

namespace kinetics {
namespace {

constexpr double kLeastOverlap_s = 3.0;
constexpr double kLeastMoving_s = 1.0;
constexpr int kRounds = 4;
constexpr double kSettled_s = 1e-5;
// Sightings off by this many of their sigmas (root mean square): the two saw different things.
constexpr double kMostOff = 5.0;

double square(double x) {
  return x * x;
}

// Sightings against the estimate, in their sigmas, root mean square.
double sightings_off(const Sources& in,
                     const std::vector<Instant>& all,
                     const SmoothedStates<kLogStates>& states,
                     const Shared& shared) {
  double sum = 0.0;
  double count = 0.0;
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (!all[k].frame) continue;
    const MotionLink& link = in.clip.links[*all[k].frame];
    if (!(link.sighting_variance_m2 > 0.0)) continue;
    const double height =
        states.states[k][at::kHeight] * (1.0 + shared.length_scale) +
        shared.shutter * states.states[k][at::kHeight] * states.states[k][at::kVelocity];
    sum += std::min(square(height - link.sighting_m) / (link.sighting_variance_m2 + square(0.001)),
                    100.0);
    count += 1.0;
  }
  return std::sqrt(sum / std::max(count, 1.0));
}

Motion fused_motion(const Sources& in,
                    const std::vector<Instant>& all,
                    const SmoothedStates<kLogStates>& states) {
  Motion out = in.clip;
  const std::size_t frames = out.samples.size();
  out.drift.resize(frames);
  std::vector<std::size_t> at(frames, 0);
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (all[k].frame) at[*all[k].frame] = k;
  }
  const std::vector<UpwardReading>& readings = in.log.readings;
  // Whether the log says what the bar did from one instant on to the next.
  const auto logged = [&](std::size_t from, std::size_t to) {
    double last_s = all[from].t_s;
    for (std::size_t k = from; k <= to; ++k) {
      if (!all[k].reading) continue;
      if (readings[*all[k].reading].handled) return false;
      if (all[k].t_s - last_s > 0.2) return false;
      last_s = all[k].t_s;
    }
    return all[to].t_s - last_s <= 0.2 && all[from].t_s >= readings.front().t_s &&
           all[to].t_s <= readings.back().t_s + 0.1;
  };
  for (std::size_t i = 0; i < frames; ++i) {
    const auto& x = states.states[at[i]];
    const auto& p = states.links[at[i]].covariance;
    MotionSample& s = out.samples[i];
    s.height_m = x[at::kHeight];
    s.velocity_mps = x[at::kVelocity];
    s.accel_mps2 = x[at::kAccel];
    s.height_sigma_m = std::sqrt(std::max(p(0, 0), 0.0));
    s.velocity_sigma_mps = std::sqrt(std::max(p(1, 1), 0.0));
    s.accel_sigma_mps2 = std::sqrt(std::max(p(2, 2), 0.0));
    s.lasting_sigma_m = 0.0;
    MotionLink& link = out.links[i];
    link.covariance = p.template topLeftCorner<3, 3>();
    out.drift[i].covariance = p;
    if (i + 1 == frames) {
      s.measured = s.measured || logged(at[i], at[i]);
      break;
    }
    DriftLink::Matrix gain = DriftLink::Matrix::Identity();
    for (std::size_t k = at[i]; k < at[i + 1]; ++k) gain = (gain * states.links[k].gain).eval();
    out.drift[i].gain = gain;
    link.to_next = (gain * states.links[at[i + 1]].covariance).template topLeftCorner<3, 3>();
    // Where the clip saw the bar, its own density goes with its sightings.
    if (!link.joined) link.jerk_psd_m2ps5 = jerk_after(in, all, at[i]);
    const bool by_log = logged(at[i], at[i + 1]);
    link.joined = link.joined || by_log;
    s.measured = s.measured || by_log;
  }
  return out;
}

// What the log's accelerations are too large by, as against the clip's heights, divided between the
// two by how well each is known.
struct ScaleShares {
  double length = 0.0;
  double accel = 0.0;
  double length_sigma = 0.0;
  double accel_sigma = 0.0;
};

ScaleShares share_out(double difference, double variance, double length_sigma) {
  // The difference was found under the accelerations' own prior; that is taken out again.
  const double accel_prior = square(kAccelScaleSigma);
  const double seen = 1.0 / std::max(1.0 / variance - 1.0 / accel_prior, 1e-3 / accel_prior);
  const double seen_difference = difference * (1.0 + seen / accel_prior);
  const double length_prior = square(length_sigma);
  const double total = length_prior + accel_prior + seen;
  ScaleShares out;
  out.length = -length_prior / total * seen_difference;
  out.accel = accel_prior / total * seen_difference;
  out.length_sigma = std::sqrt(length_prior * (1.0 - length_prior / total));
  out.accel_sigma = std::sqrt(accel_prior * (1.0 - accel_prior / total));
  return out;
}

[[noreturn]] void refuse(const std::string& what) {
  throw Error(ErrorCode::kUnreadable,
              "clip and log",
              what,
              "Check that both are of the same set, or analyse each by itself");
}

Alignment aligned(const Motion& clip, const Motion& log, double least_agreement) {
  const Alignment found = align(clip, log);
  if (found.overlap_s < kLeastOverlap_s || found.moving_s < kLeastMoving_s) {
    refuse(fmt::format("they share {:.1f} s with {:.1f} s of movement, too little to join them",
                       found.overlap_s,
                       found.moving_s));
  }
  if (found.agreement < least_agreement) {
    refuse(
        fmt::format("they do not tell of the same movement: at the best shift, {:.2f} s, their "
                    "velocities agree by {:.2f} of 1",
                    found.offset_s,
                    found.agreement));
  }
  return found;
}

}  // namespace

FusedMotion fuse(const BarPath& path, const SensorLog& log, const FuseOptions& options) {
  if (!log.positions.empty()) {
    throw Error(ErrorCode::kUsage,
                "sensor log",
                "a log of positions cannot be joined with a clip, only one of accelerations",
                "Analyse each by itself and compare the reps");
  }
  FusedMotion out;
  const Motion clip = estimate_motion(path, options.clip);
  const LogEstimate estimate =
      estimate_upward(condensed(log, options.log), log.has_gyroscope, options.log);
  const Motion log_motion = motion_of(estimate.readings, estimate.states);
  const Alignment found = aligned(clip, log_motion, options.least_agreement);

  const Sources in{path, clip, estimate, options.skew_sigma};
  Shared shared;
  shared.offset_s = found.offset_s;
  shared.middle_s = 0.5 * (clip.samples.front().t_s + clip.samples.back().t_s);
  double offset_sigma = 0.0;
  double skew_sigma = 0.0;
  double length_sigma = 0.0;
  double shutter_sigma = 0.0;
  double accel_sigma = 0.0;
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<Instant> all = instants(in, shared);
    const auto solved = smooth_states<kFusedStates>(fused_model<kFusedStates>(in, all, shared));
    const auto& x = solved.states.front();
    const auto& p = solved.links.front().covariance;
    // A frame whose time is too early shows a height the bar reaches later: y = h(t + offset).
    shared.offset_s -= x[kOffset];
    shared.skew -= x[kSkew];
    shared.shutter = x[kShutter];
    const ScaleShares shares =
        share_out(x[kAccelScale], std::max(p(kAccelScale, kAccelScale), 0.0), path.scale_sigma_rel);
    shared.length_scale = shares.length;
    shared.accel_scale = shares.accel;
    length_sigma = shares.length_sigma;
    accel_sigma = shares.accel_sigma;
    offset_sigma = std::sqrt(p(kOffset, kOffset));
    skew_sigma = std::sqrt(p(kSkew, kSkew));
    shutter_sigma = std::sqrt(p(kShutter, kShutter));
    if (std::abs(x[kOffset]) < kSettled_s) break;
  }
  // With the shared unknowns held at their best, what is left is each sample's own error.
  const std::vector<Instant> all = instants(in, shared);
  const auto states = smooth_states<kLogStates>(fused_model<kLogStates>(in, all, shared));
  const double off = sightings_off(in, all, states, shared);
  if (off > kMostOff) {
    refuse(
        fmt::format("the heights of the clip lie {:.1f} of their standard errors from what the "
                    "log's accelerations allow",
                    off));
  }
  out.sightings_off = off;
  out.motion = fused_motion(in, all, states);
  out.motion.scale_sigma_rel = length_sigma;
  out.motion.shutter_sigma_s_per_m = shutter_sigma;
  // clip = middle + (log - middle + offset) / (1 - skew), rewritten about the log's own start.
  const double skew = shared.skew;
  out.clock.skew = Measured(skew, skew_sigma);
  out.clock.offset_s =
      Measured(shared.offset_s + skew * (shared.offset_s - shared.middle_s),
               std::hypot(offset_sigma, skew_sigma * (shared.middle_s - shared.offset_s)));
  out.clock.agreement = found.agreement;
  out.facts = estimate.facts;
  out.accel_scale = Measured(1.0 / (1.0 + shared.accel_scale), accel_sigma);
  out.length_scale = Measured(1.0 / (1.0 + shared.length_scale), length_sigma);
  out.notes = notes_on(estimate, options.log);
  out.notes.push_back(
      {NoteKind::kDecision,
       fmt::format("Clip and log were joined with the log's start {:+.3f} ± {:.3f} s into the "
                   "clip.",
                   out.clock.offset_s.value(),
                   kNormal95 * out.clock.offset_s.sigma())});
  if (found.rival > 0.97 * found.agreement) {
    out.notes.push_back({NoteKind::kCaution,
                         "Another shift between clip and log fits almost as well; reps of one set "
                         "are alike. Check the first rep's time."});
  }
  return out;
}

}  // namespace kinetics
