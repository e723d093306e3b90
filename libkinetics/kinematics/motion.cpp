#include "libkinetics/kinematics/motion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/core/off_parabola.h"
#include "libkinetics/kinematics/course_jumps.h"
#include "libkinetics/kinematics/even_motion.h"
#include "libkinetics/kinematics/jerk_density.h"
#include "libkinetics/kinematics/white_jerk.h"

namespace kinetics {
namespace {

// A sighting is impossible when even a bar that is thrown could not have got there.
constexpr double kThrownJerkDensity_m2ps5 = 3e4;
constexpr double kImpossibleSigmas = 8.0;
// Residuals beyond this many sigmas count less and less (Huber's rule on the smoother's residuals).
constexpr double kHuberSigmas = 3.0;
constexpr std::size_t kFewestPoints = 4;
constexpr double kLeastSigma_m = 1e-6;

void check_options(const MotionOptions& options) {
  if (options.jerk_psd_m2ps5 && !(*options.jerk_psd_m2ps5 > 0.0)) {
    throw Error(
        ErrorCode::kUsage, "jerk density", "it must be positive", "Leave it out to learn it");
  }
  if (!(options.max_gap_s > 0.0)) {
    throw Error(ErrorCode::kUsage, "longest hole", "it must be positive", "0.25 s is usual");
  }
  if (options.cutoff_hz && !(*options.cutoff_hz > 0.0)) {
    throw Error(ErrorCode::kUsage, "cut-off frequency", "it must be positive", "6 Hz is usual");
  }
}

double square(double x) {
  return x * x;
}

// Noise is judged while the bar moves: at rest a coded picture may stand still, noise and all, and
// would make the sightings look a hundred times better than they are.
constexpr double kMoving_mps = 0.10;
constexpr std::size_t kFewestMoving = 20;
// The source's own sigmas are not doubted further than this on the good side.
constexpr double kLeastNoiseScale = 0.05;

bool moving(double height_gained_m, double within_s) {
  return std::abs(height_gained_m) > kMoving_mps * within_s;
}

// How far each sighting lies from the parabola through three neighbours, in units of what the
// stated sigmas foretell. The median over a clip is a noise scale that motion hardly touches.
double rough_noise_scale(const std::vector<PathPoint>& points) {
  std::vector<double> off;
  std::vector<double> off_moving;
  for (std::size_t i = 0; i + 3 < points.size(); ++i) {
    const PathPoint* p = &points[i];
    if (!(p[0].seen && p[1].seen && p[2].seen && p[3].seen)) continue;
    const bool under_way = moving(p[3].y_m - p[0].y_m, p[3].t_s - p[0].t_s);
    // Both inner ones, so that the scale is blind to the direction of time.
    for (const std::size_t own : {std::size_t{1}, std::size_t{2}}) {
      const auto weights = off_parabola_weights({p[0].t_s, p[1].t_s, p[2].t_s, p[3].t_s}, own);
      double off_m = 0.0;
      double variance = 0.0;
      for (std::size_t j = 0; j < weights.size(); ++j) {
        off_m += weights[j] * p[j].y_m;
        variance += square(weights[j] * p[j].sigma_y_m);
      }
      off.push_back(std::abs(off_m) / std::sqrt(std::max(variance, 1e-14)));
      if (under_way) off_moving.push_back(off.back());
    }
  }
  if (off.size() < 4) return 1.0;
  std::vector<double>& judged = off_moving.size() < 2 * kFewestMoving ? off : off_moving;
  return std::clamp(median_of(judged) * 1.4826022, kLeastNoiseScale, 50.0);
}

// A stamp's error, times how fast the bar moves there, is an error of the height.
std::vector<PathPoint> with_stamp_errors(const BarPath& path) {
  constexpr std::size_t kReach = 2;
  std::vector<PathPoint> points = path.points;
  std::vector<std::size_t> seen;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].seen) seen.push_back(i);
  }
  for (std::size_t k = 0; k < seen.size(); ++k) {
    const PathPoint& from = path.points[seen[k < kReach ? 0 : k - kReach]];
    const PathPoint& to = path.points[seen[std::min(k + kReach, seen.size() - 1)]];
    const double dt_s = to.t_s - from.t_s;
    if (!(dt_s > 0.0)) continue;
    PathPoint& p = points[seen[k]];
    p.sigma_y_m = std::hypot(p.sigma_y_m, path.stamp_sigma_s * (to.y_m - from.y_m) / dt_s);
    p.sigma_x_m = std::hypot(p.sigma_x_m, path.stamp_sigma_s * (to.x_m - from.x_m) / dt_s);
  }
  return points;
}

// Where stamps are untrue by a fair share of the time between pictures, errors count up from
// picture to picture and jump. Such jumps must not be taken for the bar's: nothing then follows
// faster turns than those of a quick rep (a jerk of some 60 m/s³ that lasts 0.1 s).
constexpr double kStrayingShare = 0.05;
constexpr double kQuickRepDensity_m2ps5 = 400.0;

double largest_density(const BarPath& path) {
  const auto& points = path.points;
  const double interval_s =
      (points.back().t_s - points.front().t_s) / static_cast<double>(points.size() - 1);
  return path.stamp_sigma_s > kStrayingShare * interval_s ? kQuickRepDensity_m2ps5
                                                          : std::numeric_limits<double>::infinity();
}

// Runs of sightings between which the motion may be followed. A new run starts after a hole longer
// than max_gap_s, or where the path jumps and stays away.
using Run = SeenStretch;

struct Screened {
  std::vector<char> usable;
  std::vector<char> jumped;  // see MotionSample
  std::vector<Run> runs;
  std::size_t rejected = 0;
};

struct Tracker {
  JerkState state = JerkState::Zero();
  Eigen::Matrix3d cov = Eigen::Matrix3d::Zero();
  double t_s = 0.0;
};

Tracker restart(const PathPoint& p) {
  Tracker t;
  t.state = JerkState(p.y_m, 0.0, 0.0);
  t.cov.diagonal() << p.sigma_y_m * p.sigma_y_m, 9.0, 400.0;
  t.t_s = p.t_s;
  return t;
}

// Walks through the sightings and leaves out those that no bar could have joined to the ones
// before, and what lies between a jump of the course and the next. When the path stays away for
// longer than max_gap_s, it is followed there as a new run.
Screened screen(const std::vector<PathPoint>& points, double noise_scale, double max_gap_s) {
  Screened out;
  out.usable.assign(points.size(), 0);
  out.jumped.assign(points.size(), 0);
  const std::vector<char> jumps = jumps_of_course(points, std::max(noise_scale, 1.0), max_gap_s);
  bool away = false;
  Tracker tracker;
  bool following = false;
  std::size_t first_strayed = 0;
  std::size_t strayed = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const PathPoint& p = points[i];
    if (!p.seen) continue;
    const bool hole = following && p.t_s - tracker.t_s > max_gap_s;
    if (following && hole && strayed > 0) {
      // The strays were right after all: go back to where they began.
      i = first_strayed;
      out.jumped[i] = 1;
      out.rejected -= strayed;
    }
    if (!following || hole) {
      const PathPoint& q = points[i];
      tracker = restart(q);
      out.runs.push_back({i, i});
      out.usable[i] = 1;
      following = true;
      away = false;
      strayed = 0;
      continue;
    }
    if (jumps[i] != 0) away = !away;
    const double dt = p.t_s - tracker.t_s;
    const Eigen::Matrix3d f = jerk_transition(dt);
    const JerkState state = f * tracker.state;
    const Eigen::Matrix3d cov =
        f * tracker.cov * f.transpose() + kThrownJerkDensity_m2ps5 * full(jerk_noise(dt));
    const double sigma = std::max(p.sigma_y_m, kLeastSigma_m) * std::max(noise_scale, 1.0);
    const double total = cov(0, 0) + sigma * sigma;
    const double innovation = p.y_m - state[0];
    if (away || innovation * innovation > kImpossibleSigmas * kImpossibleSigmas * total) {
      if (strayed == 0) first_strayed = i;
      ++strayed;
      ++out.rejected;
      continue;
    }
    const Eigen::Vector3d gain = cov.col(0) / total;
    tracker.state = state + gain * innovation;
    tracker.cov = cov - gain * gain.transpose() * total;
    tracker.t_s = p.t_s;
    strayed = 0;
    out.usable[i] = 1;
    out.runs.back().last = i;
  }
  return out;
}

// A picture that shows where the bar was one before, or a slip, would be taken for a jerk.
std::size_t leave_out_strays(std::vector<PathPoint>& points, double noise_scale, double max_gap_s) {
  const std::vector<char> lone = lone_strays(points, std::max(noise_scale, 1.0), max_gap_s);
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (lone[i] != 0) points[i].seen = false;
  }
  return static_cast<std::size_t>(std::count(lone.begin(), lone.end(), 1));
}

std::vector<HeightSighting> sightings_of(const std::vector<PathPoint>& points,
                                         const std::vector<char>& usable,
                                         Run run,
                                         double noise_scale,
                                         bool sideways) {
  std::vector<HeightSighting> out;
  out.reserve(run.last - run.first + 1);
  for (std::size_t i = run.first; i <= run.last; ++i) {
    const PathPoint& p = points[i];
    const double sigma =
        std::max(sideways ? p.sigma_x_m : p.sigma_y_m, kLeastSigma_m) * noise_scale;
    out.push_back({.t_s = p.t_s,
                   .height_m = sideways ? p.x_m : p.y_m,
                   .variance_m2 = sigma * sigma,
                   .seen = usable[i] != 0});
  }
  return out;
}

std::size_t seen_in(const std::vector<char>& usable, Run run) {
  return static_cast<std::size_t>(
      std::count(usable.begin() + static_cast<std::ptrdiff_t>(run.first),
                 usable.begin() + static_cast<std::ptrdiff_t>(run.last) + 1,
                 1));
}

// One run of sightings with everything the fit learns about it.
struct RunFit {
  Run run;
  std::vector<HeightSighting> sightings;
  JerkDensity density;
  SmoothedHeights smoothed;
};

void fit_run(RunFit& fit, const MotionOptions& options, double largest_m2ps5) {
  if (options.jerk_psd_m2ps5) {
    fit.density.psd_m2ps5.assign(fit.sightings.size() - 1, *options.jerk_psd_m2ps5);
    fit.density.typical_m2ps5 = *options.jerk_psd_m2ps5;
  } else {
    fit.density = changing_density(fit.sightings);
    for (double& q : fit.density.psd_m2ps5) q = std::min(q, largest_m2ps5);
  }
  fit.smoothed = smooth_heights(fit.sightings, fit.density.psd_m2ps5);
}

// Standard deviation of the normalised innovations over all runs: Huber's proposal 2 with squares
// capped at 3 sigma (their expectation is then 0.99501), one step from the 68.27 % quantile. Of
// wild sightings none counts for more than nine; otherwise it is the mean square, which is the same
// read forwards and backwards.
double innovation_scale(const std::vector<RunFit>& fits) {
  std::vector<double> all;
  std::vector<double> under_way;
  for (const RunFit& fit : fits) {
    for (std::size_t i = 3; i < fit.sightings.size(); ++i) {
      const HeightSighting& s = fit.sightings[i];
      if (!s.seen) continue;
      all.push_back(std::abs(fit.smoothed.innovations[i]));
      const HeightSighting& before = fit.sightings[i - 3];
      if (moving(s.height_m - before.height_m, s.t_s - before.t_s)) under_way.push_back(all.back());
    }
  }
  std::vector<double>& sizes = under_way.size() < kFewestMoving ? all : under_way;
  if (sizes.size() < 8) return 1.0;
  const auto place =
      sizes.begin() + static_cast<std::ptrdiff_t>(0.6827 * static_cast<double>(sizes.size()));
  std::nth_element(sizes.begin(), place, sizes.end());
  const double rough = std::max(*place, 1e-6);
  double sum = 0.0;
  for (const double size : sizes) {
    const double sigmas = std::min(size / rough, 3.0);
    sum += sigmas * sigmas;
  }
  return rough * std::sqrt(sum / static_cast<double>(sizes.size()) / 0.99501);
}

// Of sightings that err alike many are worth one. Errors correlated by rho = exp(-dt / alike_s)
// have a spectrum at slow motion like white noise of (1 + rho) / (1 - rho) times their variance;
// and the innovations, by which that was judged, see only its share 1 - rho^2 that neighbours do
// not share.
double worth_of_alike(double dt_s, double alike_s) {
  if (!(alike_s > 0.0)) return 1.0;
  const double fresh = 1.0 - std::exp(-dt_s / alike_s);
  return 1.0 / (fresh * fresh);
}

void count_alike_once(RunFit& fit, double alike_s) {
  std::vector<HeightSighting>& s = fit.sightings;
  for (std::size_t i = 0; i < s.size(); ++i) {
    const std::size_t first = i > 0 ? i - 1 : 0;
    const std::size_t last = std::min(i + 1, s.size() - 1);
    const double dt_s = (s[last].t_s - s[first].t_s) / static_cast<double>(last - first);
    s[i].variance_m2 *= worth_of_alike(dt_s, alike_s);
  }
}

// Gives sightings far off the smooth path a larger variance.
void doubt_outliers(RunFit& fit) {
  for (std::size_t i = 0; i < fit.sightings.size(); ++i) {
    HeightSighting& s = fit.sightings[i];
    if (!s.seen) continue;
    const double residual = s.height_m - fit.smoothed.states[i][0];
    const double variance =
        std::max(s.variance_m2 - fit.smoothed.covariances[i].hh, 0.05 * s.variance_m2);
    const double sigmas = std::abs(residual) / std::sqrt(variance);
    if (sigmas > kHuberSigmas) s.variance_m2 *= sigmas / kHuberSigmas;
  }
}

void store(const RunFit& fit, Motion& motion) {
  for (std::size_t k = 0; k < fit.sightings.size(); ++k) {
    MotionSample& s = motion.samples[fit.run.first + k];
    const JerkCovariance& c = fit.smoothed.covariances[k];
    s.height_m = fit.smoothed.states[k][0];
    s.velocity_mps = fit.smoothed.states[k][1];
    s.accel_mps2 = fit.smoothed.states[k][2];
    s.height_sigma_m = std::sqrt(std::max(c.hh, 0.0));
    s.velocity_sigma_mps = std::sqrt(std::max(c.vv, 0.0));
    s.accel_sigma_mps2 = std::sqrt(std::max(c.aa, 0.0));
    s.measured = true;
    MotionLink& link = motion.links[fit.run.first + k];
    link.covariance = full(c);
    const HeightSighting& sighting = fit.sightings[k];
    link.sighting_m = sighting.height_m;
    link.sighting_variance_m2 = sighting.seen ? sighting.variance_m2 : 0.0;
    if (k + 1 < fit.sightings.size()) {
      link.to_next = fit.smoothed.to_next[k];
      link.jerk_psd_m2ps5 = fit.density.psd_m2ps5[k];
      link.joined = true;
    }
  }
}

void smooth_sideways(const std::vector<PathPoint>& points,
                     const std::vector<char>& usable,
                     Run run,
                     double noise_scale,
                     Motion& motion) {
  const std::vector<HeightSighting> sightings =
      sightings_of(points, usable, run, noise_scale, true);
  const double density = likeliest_density(sightings);
  const SmoothedHeights smoothed =
      smooth_heights(sightings, std::vector<double>(sightings.size() - 1, density));
  for (std::size_t k = 0; k < sightings.size(); ++k) {
    motion.samples[run.first + k].x_m = smoothed.states[k][0];
    motion.samples[run.first + k].x_sigma_m = std::sqrt(std::max(smoothed.covariances[k].hh, 0.0));
  }
}

// Between runs nothing is known: a straight line from the last state to the next, marked so.
void fill_holes(Motion& motion) {
  std::vector<MotionSample>& samples = motion.samples;
  std::size_t i = 0;
  while (i < samples.size()) {
    if (samples[i].measured) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < samples.size() && !samples[end].measured) ++end;
    const MotionSample* before = i > 0 ? &samples[i - 1] : nullptr;
    const MotionSample* after = end < samples.size() ? &samples[end] : nullptr;
    if (before == nullptr && after == nullptr) return;  // nothing was measured at all
    if (before == nullptr) before = after;
    if (after == nullptr) after = before;
    for (; i < end; ++i) {
      MotionSample& s = samples[i];
      const double span = after->t_s - before->t_s;
      const double part = span > 0.0 ? (s.t_s - before->t_s) / span : 0.0;
      s.height_m = before->height_m + part * (after->height_m - before->height_m);
      s.x_m = before->x_m + part * (after->x_m - before->x_m);
      s.velocity_mps = span > 0.0 ? (after->height_m - before->height_m) / span : 0.0;
    }
  }
}

void kalman_motion(const std::vector<PathPoint>& points,
                   const Screened& screened,
                   double noise_scale,
                   const BarPath& path,
                   const MotionOptions& options,
                   Motion& motion) {
  const double largest_m2ps5 = largest_density(path);
  std::vector<RunFit> fits;
  for (const Run run : screened.runs) {
    fits.push_back({run, sightings_of(points, screened.usable, run, noise_scale, false), {}, {}});
  }
  // The rough noise scale is good enough to choose densities by; those then give the fine one.
  for (RunFit& fit : fits) fit_run(fit, options, largest_m2ps5);
  const double scale = std::max(innovation_scale(fits), kLeastNoiseScale / noise_scale);
  motion.noise_scale = noise_scale * scale;
  for (RunFit& fit : fits) {
    for (HeightSighting& s : fit.sightings) s.variance_m2 *= scale * scale;
    count_alike_once(fit, path.alike_s);
    doubt_outliers(fit);
    fit_run(fit, options, largest_m2ps5);
  }

  motion.links.resize(points.size());
  std::vector<double> densities;
  for (const RunFit& fit : fits) {
    store(fit, motion);
    smooth_sideways(points, screened.usable, fit.run, motion.noise_scale, motion);
    densities.push_back(fit.density.typical_m2ps5);
  }
  if (!densities.empty()) motion.jerk_psd_m2ps5 = median_of(densities);
}

std::size_t holes_within(const std::vector<char>& usable, const std::vector<Run>& runs) {
  std::size_t holes = 0;
  for (const Run run : runs) {
    for (std::size_t i = run.first + 1; i <= run.last; ++i) {
      holes += usable[i - 1] != 0 && usable[i] == 0 ? 1 : 0;
    }
  }
  return holes;
}

}  // namespace

Motion estimate_motion(const BarPath& path, const MotionOptions& options) {
  check_options(options);
  check(path);
  const auto seen = std::count_if(
      path.points.begin(), path.points.end(), [](const PathPoint& p) { return p.seen; });
  if (static_cast<std::size_t>(seen) < kFewestPoints) {
    throw Error(
        ErrorCode::kUnreadable,
        "bar path",
        fmt::format(
            "the bar was seen {} times; {} or more are needed for a velocity", seen, kFewestPoints),
        "Film the whole set with the disc in view");
  }
  std::vector<PathPoint> points = with_stamp_errors(path);
  const double noise_scale = rough_noise_scale(points);
  const std::size_t strays = leave_out_strays(points, noise_scale, options.max_gap_s);
  Screened screened = screen(points, noise_scale, options.max_gap_s);
  screened.rejected += strays;
  std::erase_if(screened.runs,
                [&](Run run) { return seen_in(screened.usable, run) < kFewestPoints; });

  Motion motion;
  motion.samples.resize(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    motion.samples[i].t_s = points[i].t_s;
    motion.samples[i].lasting_sigma_m = points[i].seen ? points[i].lasting_sigma_m : 0.0;
    motion.samples[i].measured = false;
    motion.samples[i].jumped = screened.jumped[i] != 0;
  }
  motion.points_rejected = screened.rejected;
  motion.gaps_bridged = holes_within(screened.usable, screened.runs);
  if (options.method == SmoothingMethod::kButterworth) {
    butterworth_motion(points, screened.usable, screened.runs, options, motion);
  } else {
    kalman_motion(points, screened, noise_scale, path, options, motion);
  }
  fill_holes(motion);
  motion.scale_sigma_rel = path.scale_sigma_rel;
  motion.shutter_sigma_s_per_m = path.shutter_sigma_s_per_m;
  motion.stamp_sigma_s = path.stamp_sigma_s;
  motion.slow_time_sigma_s = path.slow_time_sigma_s;
  motion.hold_sigma_m = path.hold_sigma_m;
  return motion;
}

std::size_t sample_before(const Motion& motion, double t_s) {
  const auto after = std::upper_bound(
      motion.samples.begin(), motion.samples.end(), t_s, [](double t, const MotionSample& s) {
        return t < s.t_s;
      });
  return after == motion.samples.begin()
             ? 0
             : static_cast<std::size_t>(after - motion.samples.begin()) - 1;
}

namespace {

// Between two samples whose heights differ by more than the velocity makes of it (see
// MotionLink::slack_m2): the velocity is the cubic through both ends' velocities and accelerations,
// and what their heights differ by besides comes evenly.
void bridge_with_slack(const MotionSample& from,
                       const MotionSample& to,
                       double part,
                       MotionSample& out) {
  const double dt = to.t_s - from.t_s;
  const double t = part * dt;
  // v(t) = v0 + a0 t + b t² + c t³ that ends at v1 with a1.
  const double gain = to.velocity_mps - from.velocity_mps - from.accel_mps2 * dt;
  const double turn = to.accel_mps2 - from.accel_mps2;
  const double b = (3.0 * gain - turn * dt) / (dt * dt);
  const double c = (turn * dt - 2.0 * gain) / (dt * dt * dt);
  const auto risen = [&](double s) {
    return s * (from.velocity_mps + s * (from.accel_mps2 / 2.0 + s * (b / 3.0 + s * c / 4.0)));
  };
  const double slack = to.height_m - from.height_m - risen(dt);
  out.height_m = from.height_m + risen(t) + part * slack;
  out.velocity_mps = from.velocity_mps + t * (from.accel_mps2 + t * (b + t * c));
  out.accel_mps2 = from.accel_mps2 + t * (2.0 * b + 3.0 * c * t);
  const auto mix = [&](double p, double q) { return p + part * (q - p); };
  out.height_sigma_m = mix(from.height_sigma_m, to.height_sigma_m);
  out.velocity_sigma_mps = mix(from.velocity_sigma_mps, to.velocity_sigma_mps);
  out.accel_sigma_mps2 = mix(from.accel_sigma_mps2, to.accel_sigma_mps2);
}

// What white jerk alone lets the height stray by, once both ends' velocities and accelerations are
// known (its variance is the density times dt⁵/720).
bool slack_prevails(const MotionLink& link, double dt_s) {
  return link.slack_m2 > link.jerk_psd_m2ps5 * std::pow(dt_s, 5) / 720.0;
}

}  // namespace

MotionSample state_at(const Motion& motion, double t_s) {
  KINETICS_ASSERT(!motion.samples.empty());
  const std::size_t i = sample_before(motion, t_s);
  const MotionSample& from = motion.samples[i];
  if (t_s <= from.t_s || i + 1 >= motion.samples.size()) return from;
  const MotionSample& to = motion.samples[i + 1];
  const double dt = to.t_s - from.t_s;
  const double part = (t_s - from.t_s) / dt;
  MotionSample out;
  out.t_s = t_s;
  out.x_m = from.x_m + part * (to.x_m - from.x_m);
  const bool linked = i < motion.links.size();
  const bool joined = linked ? motion.links[i].joined : from.measured && to.measured;
  out.measured = joined;
  const JerkState a(from.height_m, from.velocity_mps, from.accel_mps2);
  const JerkState b(to.height_m, to.velocity_mps, to.accel_mps2);
  const auto mix = [&](double p, double q) { return p + part * (q - p); };
  out.x_sigma_m = mix(from.x_sigma_m, to.x_sigma_m);
  if (!joined) {
    out.height_m = mix(a[0], b[0]);
    out.velocity_mps = (b[0] - a[0]) / dt;
    return out;
  }
  const MotionLink link = linked ? motion.links[i] : MotionLink{};
  if (slack_prevails(link, dt)) {
    bridge_with_slack(from, to, part, out);
    return out;
  }
  const auto packed = [](const Eigen::Matrix3d& c) {
    return JerkCovariance{c(0, 0), c(0, 1), c(0, 2), c(1, 1), c(1, 2), c(2, 2)};
  };
  const Eigen::Matrix3d next =
      linked ? motion.links[i + 1].covariance : Eigen::Matrix3d(Eigen::Matrix3d::Zero());
  const BridgedState s = bridge(
      a, b, packed(link.covariance), packed(next), link.to_next, dt, part, link.jerk_psd_m2ps5);
  out.height_m = s.state[0];
  out.velocity_mps = s.state[1];
  out.accel_mps2 = s.state[2];
  if (linked) {
    out.height_sigma_m = std::sqrt(std::max(s.covariance(0, 0), 0.0));
    out.velocity_sigma_mps = std::sqrt(std::max(s.covariance(1, 1), 0.0));
    out.accel_sigma_mps2 = std::sqrt(std::max(s.covariance(2, 2), 0.0));
  } else {
    out.height_sigma_m = mix(from.height_sigma_m, to.height_sigma_m);
    out.velocity_sigma_mps = mix(from.velocity_sigma_mps, to.velocity_sigma_mps);
    out.accel_sigma_mps2 = mix(from.accel_sigma_mps2, to.accel_sigma_mps2);
  }
  return out;
}

Eigen::Matrix4d joint_covariance(const Motion& motion, double from_s, double to_s) {
  const auto nearest = [&](double t_s) {
    const std::size_t i = sample_before(motion, t_s);
    const bool next_is_nearer = i + 1 < motion.samples.size() &&
                                motion.samples[i + 1].t_s - t_s < t_s - motion.samples[i].t_s;
    return next_is_nearer ? i + 1 : i;
  };
  Eigen::Matrix4d out = Eigen::Matrix4d::Zero();
  if (motion.drift.empty()) {
    const MotionSample from = state_at(motion, from_s);
    const MotionSample to = state_at(motion, to_s);
    out.diagonal() << square(from.height_sigma_m), square(from.velocity_sigma_mps),
        square(to.height_sigma_m), square(to.velocity_sigma_mps);
    return out;
  }
  // Errors that last hardly change from an instant to the sample beside it.
  const std::size_t first = nearest(from_s);
  const std::size_t last = nearest(to_s);
  DriftLink::Matrix across = motion.drift[last].covariance;
  for (std::size_t i = last; i-- > first;) across = (motion.drift[i].gain * across).eval();
  out.topLeftCorner<2, 2>() = motion.drift[first].covariance.topLeftCorner<2, 2>();
  out.bottomRightCorner<2, 2>() = motion.drift[last].covariance.topLeftCorner<2, 2>();
  out.topRightCorner<2, 2>() = across.topLeftCorner<2, 2>();
  out.bottomLeftCorner<2, 2>() = across.topLeftCorner<2, 2>().transpose();
  return out;
}

}  // namespace kinetics
