#include "libkinetics/inertial/fused_model.h"

#include <algorithm>

namespace kinetics {
namespace {

// The log is followed this far beyond the clip's ends.
constexpr double kBeyond_s = 3.0;
// Errors of the clip that last over some frames count once for about as many.
constexpr double kLastingFrames = 6.0;
constexpr double kFirstOffset_s = 0.05;
constexpr double kUnknownJerk_m2ps5 = 300.0;

double square(double x) {
  return x * x;
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

}  // namespace

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
  std::optional<std::size_t> last_frame;
  for (std::size_t k = 0; k < all.size(); ++k) {
    if (all[k].reading) {
      read_log<N>(in, k, *all[k].reading, shared, model);
      last_reading = all[k].reading;
    }
    if (all[k].frame) {
      read_clip<N>(in, k, *all[k].frame, shared, model);
      last_frame = all[k].frame;
    }
    if (k + 1 == all.size()) break;
    const double dt = all[k + 1].t_s - all[k].t_s;
    double wander = square(0.01) * dt;
    // Between two frames that show the bar, its height changes by its own velocity alone, wherever
    // on it the sensor sits.
    const bool bar_seen = last_frame && in.clip.links[*last_frame].joined;
    double lever = 0.0;
    double kept = 1.0;
    if (last_reading && *last_reading + 1 < in.log.readings.size()) {
      const UpwardReading& r = in.log.readings[*last_reading];
      const double span = in.log.readings[*last_reading + 1].t_s - r.t_s;
      wander = r.wander * dt / std::max(span, dt);
      kept = std::pow(r.error_kept, dt / std::max(span, dt));
      if (!bar_seen) lever = r.lever_variance_m2 * dt / std::max(span, dt);
    }
    model.steps.push_back({dt, jerk_after(in, all, k), lever, kept});
    Eigen::Matrix<double, N - 3, 1> wanders = Eigen::Matrix<double, N - 3, 1>::Zero();
    wanders[at::kBias - 3] = wander;
    model.wander.push_back(wanders);
  }
  return model;
}

template StateModel<kLogStates> fused_model(const Sources&,
                                            const std::vector<Instant>&,
                                            const Shared&);
template StateModel<kFusedStates> fused_model(const Sources&,
                                              const std::vector<Instant>&,
                                              const Shared&);

}  // namespace kinetics
