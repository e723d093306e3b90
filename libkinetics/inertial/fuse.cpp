#include "libkinetics/inertial/fuse.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/align.h"
#include "libkinetics/inertial/log_estimate.h"

namespace kinetics {
namespace {

// States of the fused model after those of a log alone: constants that both sources share.
constexpr int kLengthScale = kLogStates + 0;  // the clip's lengths, too large by this share
constexpr int kShutter = kLogStates + 1;      // s of delay per m of height
constexpr int kOffset = kLogStates + 2;       // correction of the clip's times, s
constexpr int kSkew = kLogStates + 3;         // the same per second from the middle
constexpr int kAccelScale = kLogStates + 4;   // the log's accelerations, too large by this share
constexpr int kFusedStates = kLogStates + 5;

constexpr double kLeastOverlap_s = 3.0;
constexpr double kLeastMoving_s = 1.0;
// The log is followed this far beyond the clip's ends.
constexpr double kBeyond_s = 3.0;
// Errors of the clip that last over some frames count once for about as many.
constexpr double kLastingFrames = 6.0;
constexpr double kFirstOffset_s = 0.05;
constexpr int kRounds = 4;
constexpr double kSettled_s = 1e-5;
// Sightings off by this many of their sigmas (root mean square): the two saw different things.
constexpr double kMostOff = 5.0;
constexpr double kUnknownJerk_m2ps5 = 300.0;

double square(double x) {
  return x * x;
}

// One instant of the estimate, in the log's time: a reading of the log, a frame, or both kinds.
struct Instant {
  double t_s = 0.0;
  std::optional<std::size_t> reading;
  std::optional<std::size_t> frame;
};

// What is known of clocks and scales so far.
struct Shared {
  double offset_s = 0.0;
  double skew = 0.0;
  double middle_s = 0.0;  // clip time about which the skew turns
  double length_scale = 0.0;
  double shutter = 0.0;
  double accel_scale = 0.0;

  // log time = clip time - offset, less the skew
  [[nodiscard]] double log_time(double clip_s) const {
    return middle_s + (clip_s - middle_s) * (1.0 - skew) - offset_s;
  }
};

struct Sources {
  const BarPath& path;
  const Motion& clip;
  const LogEstimate& log;
  double skew_sigma = 1e-4;
};

std::vector<Instant> instants(const Sources& in, const Shared& shared) {
  std::vector<Instant> out;
  const std::vector<MotionSample>& frames = in.clip.samples;
  const std::vector<UpwardReading>& readings = in.log.readings;
  const double from_s = shared.log_time(frames.front().t_s) - kBeyond_s;
  const double to_s = shared.log_time(frames.back().t_s) + kBeyond_s;
  std::size_t frame = 0;
  for (std::size_t i = 0; i <= readings.size(); ++i) {
    const bool end = i == readings.size();
    while (frame < frames.size() && (end || shared.log_time(frames[frame].t_s) < readings[i].t_s)) {
      out.push_back({shared.log_time(frames[frame].t_s), std::nullopt, frame});
      ++frame;
    }
    if (!end && readings[i].t_s >= from_s && readings[i].t_s <= to_s) {
      out.push_back({readings[i].t_s, i, std::nullopt});
    }
  }
  return out;
}

double jerk_after(const Sources& in, const std::vector<Instant>& all, std::size_t i) {
  // The log's own while it runs, else the clip's.
  std::optional<std::size_t> last_reading;
  std::optional<std::size_t> last_frame;
  for (std::size_t k = i + 1; k-- > 0 && !(last_reading && last_frame);) {
    if (!last_reading && all[k].reading) last_reading = all[k].reading;
    if (!last_frame && all[k].frame) last_frame = all[k].frame;
    if (all[i].t_s - all[k].t_s > 1.0) break;
  }
  const std::vector<UpwardReading>& readings = in.log.readings;
  if (last_reading && *last_reading + 1 < readings.size() && !readings[*last_reading].hole_after &&
      !readings[*last_reading].handled) {
    return readings[*last_reading].jerk_psd;
  }
  if (last_frame && in.clip.links[*last_frame].joined) {
    return in.clip.links[*last_frame].jerk_psd_m2ps5;
  }
  return kUnknownJerk_m2ps5;
}

// What the model is linearised about: the last round's states, or the clip's own at first.
struct About {
  double height_m = 0.0;
  double velocity_mps = 0.0;
  double accel_mps2 = 0.0;
};

About about_frame(const Sources& in, std::size_t frame) {
  const MotionSample& s = in.clip.samples[frame];
  return {s.height_m, s.velocity_mps, s.accel_mps2};
}

template <int N>
void read_log(
    const Sources& in, std::size_t at, std::size_t i, const Shared& shared, StateModel<N>& model) {
  const UpwardReading& r = in.log.readings[i];
  const auto read = [&](int state, double sigma) {
    StateReading<N> reading;
    reading.at = at;
    reading.row[state] = 1.0;
    reading.variance = square(sigma);
    model.readings.push_back(reading);
  };
  if (!r.handled) {
    StateReading<N> accel;
    accel.at = at;
    accel.row[at::kAccel] = accel.row[at::kBias] = 1.0;
    accel.variance = r.variance;
    if constexpr (N > kLogStates) {
      accel.row[kAccelScale] = in.log.states.states[i][at::kAccel];
      accel.value = r.accel_mps2;
    } else {
      accel.row[at::kAccel] = 1.0 + shared.accel_scale;
      accel.value = r.accel_mps2;
    }
    model.readings.push_back(accel);
  }
  constexpr double kStillVelocity_mps = 0.003;
  constexpr double kStillAccel_mps2 = 0.03;
  if (r.still) {
    read(at::kVelocity, kStillVelocity_mps);
    read(at::kAccel, kStillAccel_mps2);
  }
}

template <int N>
void read_clip(const Sources& in,
               std::size_t at,
               std::size_t frame,
               const Shared& shared,
               StateModel<N>& model) {
  const MotionLink& link = in.clip.links[frame];
  if (!(link.sighting_variance_m2 > 0.0)) return;
  const About about = about_frame(in, frame);
  StateReading<N> height;
  height.at = at;
  const double lasting = square(in.clip.samples[frame].lasting_sigma_m);
  height.variance =
      link.sighting_variance_m2 + kLastingFrames * (lasting + square(in.path.hold_sigma_m));
  height.value = link.sighting_m;
  if constexpr (N > kLogStates) {
    height.row[at::kHeight] = 1.0;
    height.row[kLengthScale] = about.height_m;
    height.row[kShutter] = about.height_m * about.velocity_mps;
    height.row[kOffset] = about.velocity_mps;
    height.row[kSkew] = about.velocity_mps * (in.clip.samples[frame].t_s - shared.middle_s);
  } else {
    height.row[at::kHeight] = 1.0 + shared.length_scale;
    height.row[at::kVelocity] = shared.shutter * about.height_m;
  }
  model.readings.push_back(height);
}

template <int N>
StateModel<N> fused_model(const Sources& in,
                          const std::vector<Instant>& all,
                          const Shared& shared) {
  constexpr double kFirst_m = 3.0;
  constexpr double kFirst_mps = 1.0;
  constexpr double kFirst_mps2 = 5.0;
  constexpr double kFirstBias_mps2 = 0.5;
  StateModel<N> model;
  model.first_variance.setConstant(1e-12);
  model.first_variance.template head<4>() << square(kFirst_m), square(kFirst_mps),
      square(kFirst_mps2), square(kFirstBias_mps2);
  model.first_variance[at::kLockout] = 1.0;
  if constexpr (N > kLogStates) {
    // Only how the two scales differ can be seen: the motion model would rather have all motion
    // smaller, and no reading speaks against that. So the clip's is held here and shared out after.
    model.first_variance[kLengthScale] = 1e-14;
    model.first_variance[kShutter] = square(std::max(in.path.shutter_sigma_s_per_m, 1e-5));
    model.first_variance[kOffset] = square(kFirstOffset_s);
    model.first_variance[kSkew] = square(in.skew_sigma);
    model.first[kSkew] = shared.skew;  // what is left of the skew is known about no skew at all
    model.first_variance[kAccelScale] = square(kAccelScaleSigma);
  }
  std::optional<std::size_t> last_reading;
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (all[k].reading) {
      read_log<N>(in, k, *all[k].reading, shared, model);
      last_reading = all[k].reading;
    }
    if (all[k].frame) read_clip<N>(in, k, *all[k].frame, shared, model);
    if (k + 1 == all.size()) break;
    const double dt = all[k + 1].t_s - all[k].t_s;
    double wander = square(0.01) * dt;
    double lever = 0.0;
    if (last_reading && *last_reading + 1 < in.log.readings.size()) {
      const UpwardReading& r = in.log.readings[*last_reading];
      const double span = in.log.readings[*last_reading + 1].t_s - r.t_s;
      wander = r.wander * dt / std::max(span, dt);
      lever = r.lever_variance_m2 * dt / std::max(span, dt);
    }
    model.steps.push_back({dt, jerk_after(in, all, k), lever});
    Eigen::Matrix<double, N - 3, 1> wanders = Eigen::Matrix<double, N - 3, 1>::Zero();
    wanders[at::kBias - 3] = wander;
    model.wander.push_back(wanders);
  }
  return model;
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
    const auto& p = states.covariances[at[i]];
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
    for (std::size_t k = at[i]; k < at[i + 1]; ++k) gain = (gain * states.gains[k]).eval();
    out.drift[i].gain = gain;
    link.to_next = (gain * states.covariances[at[i + 1]]).template topLeftCorner<3, 3>();
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
  const LogEstimate estimate = estimate_upward(log, options.log);
  const Motion log_motion =
      motion_of(estimate.readings, estimate.states, estimate.facts.gyroscope_used);
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
    const auto& p = solved.covariances.front();
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
