#include "libkinetics/kinematics/onset.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/kinematics/white_jerk.h"

namespace kinetics {
namespace {

// A lifter who stands or sits still sways by millimetres: 6 mm at 0.7 Hz has this jerk density.
constexpr double kRestJerkDensity_m2ps5 = 0.1;
constexpr double kRestVelocity_mps = 0.03;
constexpr double kRestAccel_mps2 = 0.2;
// How hard a bar is set off or stopped all at once: eased, or jerked. Both are tried at every
// instant, for one spread between them would blunt the one and shake the other.
constexpr double kJumps_mps2[] = {1.0, 6.0};
// Around the first estimate: rest is looked at this far, drive this far or a third of the travel.
constexpr double kLongestRest_s = 0.5;
constexpr double kShortestRest_s = 0.12;
// Without a rest, what came before is looked at this far, and its density but for the turn itself.
constexpr double kLookBack_s = 0.30;
constexpr double kTurnItself_s = 0.08;
// A bar that is jerked off is still seen a few milliseconds early, the more so out of a turn. The
// spread is widened for it; by the coverage test, where jerked and eased starts are mixed.
constexpr double kRestDoubt = 1.05;
constexpr double kTurnDoubt = 1.2;
constexpr double kLongestDrive_s = 0.30;
constexpr double kDriveShare = 0.35;
constexpr double kMoving_mps = 0.045;
constexpr std::size_t kFewestBeside = 4;
constexpr double kEarliest_s = 0.15;
constexpr double kLatest_s = 0.06;
constexpr double kStep_s = 0.003;
constexpr double kJumpWithin_s = 1e-4;

// A view of the motion in which the edge is always the start of a rise out of rest: the end of one
// is its mirror image in time and height.
struct View {
  const Motion& motion;
  double time_sign;
  double height_sign;

  [[nodiscard]] double t(double view_s) const { return time_sign * view_s; }
  [[nodiscard]] double velocity(std::size_t i) const {
    return height_sign * time_sign * motion.samples[i].velocity_mps;
  }
};

struct Window {
  std::vector<HeightSighting> sightings;  // in the view, times rising
  double before_density = kRestJerkDensity_m2ps5;
  double drive_density = 0.0;
  FirstState first;
  double doubt = kRestDoubt;  // the spread is multiplied by this
};

std::optional<Window> look_around(const View& view, double edge_s, double travel_s) {
  const Motion& m = view.motion;
  const double drive_s = std::min(kLongestDrive_s, kDriveShare * travel_s);
  // Index steps forward in the view's time.
  const int step = view.time_sign > 0.0 ? 1 : -1;
  const auto count = static_cast<std::ptrdiff_t>(m.samples.size());
  auto at = static_cast<std::ptrdiff_t>(sample_before(m, view.t(edge_s)));
  const auto view_time = [&](std::ptrdiff_t i) {
    return view.time_sign * m.samples[static_cast<std::size_t>(i)].t_s;
  };
  const auto joined = [&](std::ptrdiff_t i) {  // to the next one in the view
    const std::ptrdiff_t earlier = step > 0 ? i : i - 1;
    return earlier >= 0 && earlier + 1 < count && m.links[static_cast<std::size_t>(earlier)].joined;
  };
  // Back to where the bar was last moving, or as far as there is something to learn.
  std::ptrdiff_t first = at;
  std::ptrdiff_t first_at_rest = at;
  bool resting = true;
  while (first - step >= 0 && first - step < count && joined(first - step) &&
         edge_s - view_time(first - step) <= (resting ? kLongestRest_s : kLookBack_s)) {
    const auto i = static_cast<std::size_t>(first - step);
    const double v = view.velocity(i);
    const bool before_edge = view_time(first - step) < edge_s - 0.02;
    if (before_edge && std::abs(v) > kMoving_mps + 2.0 * m.samples[i].velocity_sigma_mps) {
      resting = false;
      if (edge_s - view_time(first) >= kShortestRest_s) break;
    }
    first -= step;
    if (resting) first_at_rest = first;
  }
  Window out;
  if (edge_s - view_time(first_at_rest) >= kShortestRest_s) {
    first = first_at_rest;
    out.first = {.velocity_variance_m2ps2 = kRestVelocity_mps * kRestVelocity_mps,
                 .accel_variance_m2ps4 = kRestAccel_mps2 * kRestAccel_mps2};
  } else {
    // A turn without a rest: what came before moved with a density of its own.
    double log_before = 0.0;
    int count_before = 0;
    for (std::ptrdiff_t i = first; view_time(i) < edge_s - kTurnItself_s; i += step) {
      log_before += std::log(m.links[static_cast<std::size_t>(i)].jerk_psd_m2ps5);
      ++count_before;
    }
    if (count_before == 0) return std::nullopt;
    out.before_density = std::exp(log_before / count_before);
    out.doubt = kTurnDoubt;
  }
  std::size_t beside[2] = {0, 0};
  double log_density = 0.0;
  std::size_t densities = 0;
  for (std::ptrdiff_t i = first; i >= 0 && i < count; i += step) {
    const auto k = static_cast<std::size_t>(i);
    const double t = view_time(i);
    if (t > edge_s + drive_s && beside[1] >= kFewestBeside) break;
    const MotionLink& link = m.links[k];
    const bool seen = link.sighting_variance_m2 > 0.0;
    out.sightings.push_back({.t_s = t,
                             .height_m = view.height_sign * link.sighting_m,
                             .variance_m2 = link.sighting_variance_m2,
                             .seen = seen});
    if (seen) ++beside[t < edge_s ? 0 : 1];
    if (t >= edge_s) {
      log_density += std::log(link.jerk_psd_m2ps5);
      ++densities;
    }
    if (!joined(i)) break;
  }
  if (beside[0] < kFewestBeside || beside[1] < kFewestBeside || densities == 0) return std::nullopt;
  out.drive_density = std::exp(log_density / static_cast<double>(densities));
  return out;
}

struct Hypothesis {
  double log_likelihood = 0.0;
  double crossing_s = 0.0;
  double sigma_s = 0.0;
};

// The velocity between two nodes: a cubic through both velocities and accelerations.
double velocity_between(const JerkState& a, const JerkState& b, double dt, double s) {
  const double s2 = s * s;
  const double s3 = s2 * s;
  return a[1] * (2 * s3 - 3 * s2 + 1) + b[1] * (3 * s2 - 2 * s3) +
         dt * (a[2] * (s3 - 2 * s2 + s) + b[2] * (s3 - s2));
}

std::optional<Hypothesis> suppose_start(const Window& window,
                                        double start_s,
                                        double jump_mps2,
                                        double threshold) {
  std::vector<HeightSighting> nodes;
  std::vector<double> density;
  nodes.reserve(window.sightings.size() + 2);
  bool started = false;
  const HeightSighting before{.t_s = start_s, .seen = false};
  const HeightSighting after{.t_s = start_s + kJumpWithin_s, .seen = false};
  for (const HeightSighting& s : window.sightings) {
    if (!started && s.t_s > after.t_s) {
      started = true;
      density.push_back(window.before_density);
      nodes.push_back(before);
      density.push_back(jump_mps2 * jump_mps2 / kJumpWithin_s);
      nodes.push_back(after);
    }
    if (!nodes.empty()) density.push_back(started ? window.drive_density : window.before_density);
    nodes.push_back(s);
    // A sighting within the jump itself would break the order of times.
    if (!started && s.t_s > start_s) nodes.back().t_s = start_s - 1e-6;
  }
  if (!started) return std::nullopt;
  // The density belongs to the interval before each node, in the order pushed.
  const SmoothedHeights fit = smooth_heights(nodes, density, window.first);
  // From the drive back towards rest: the last crossing before the bar is under way.
  std::size_t i = nodes.size() - 1;
  while (i > 0 && fit.states[i][1] <= threshold) --i;
  while (i > 0 && fit.states[i - 1][1] > threshold) --i;
  if (i == 0) return std::nullopt;
  const double dt = nodes[i].t_s - nodes[i - 1].t_s;
  double lo = 0.0;
  double hi = 1.0;
  for (int k = 0; k < 30; ++k) {
    const double mid = 0.5 * (lo + hi);
    const double v = velocity_between(fit.states[i - 1], fit.states[i], dt, mid);
    (v > threshold ? hi : lo) = mid;
  }
  Hypothesis out;
  out.log_likelihood = fit.log_likelihood;
  out.crossing_s = nodes[i - 1].t_s + 0.5 * (lo + hi) * dt;
  const double accel = std::max(fit.states[i][2], 0.05);
  out.sigma_s = std::sqrt(std::max(fit.covariances[i].vv, 0.0)) / accel;
  out.sigma_s = std::min(out.sigma_s, 0.1);
  return out;
}

}  // namespace

std::optional<Crossing> refine_edge(const Motion& motion,
                                    const Crossing& crossing,
                                    EdgeKind kind,
                                    double travel_s,
                                    double threshold_mps) {
  if (!crossing.known || motion.links.empty()) return std::nullopt;
  const double time_sign = kind.start ? 1.0 : -1.0;
  const View view{motion, time_sign, kind.direction * time_sign};
  const double edge_s = time_sign * crossing.t_s;
  const auto window = look_around(view, edge_s, travel_s);
  if (!window) return std::nullopt;
  std::vector<Hypothesis> tried;
  double best = -INFINITY;
  for (double t = edge_s - kEarliest_s; t <= edge_s + kLatest_s; t += kStep_s) {
    if (t <= window->sightings.front().t_s + 0.01) continue;
    for (const double jump_mps2 : kJumps_mps2) {
      if (const auto h = suppose_start(*window, t, jump_mps2, threshold_mps)) {
        tried.push_back(*h);
        best = std::max(best, h->log_likelihood);
      }
    }
  }
  if (tried.empty()) return std::nullopt;
  double weight = 0.0;
  double mean = 0.0;
  for (const Hypothesis& h : tried) {
    const double w = std::exp(h.log_likelihood - best);
    weight += w;
    mean += w * h.crossing_s;
  }
  mean /= weight;
  double variance = 0.0;
  for (const Hypothesis& h : tried) {
    const double off = h.crossing_s - mean;
    variance += std::exp(h.log_likelihood - best) / weight * (off * off + h.sigma_s * h.sigma_s);
  }
  return Crossing{time_sign * mean, window->doubt * std::sqrt(variance), true};
}

}  // namespace kinetics
