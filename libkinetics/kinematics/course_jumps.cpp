#include "libkinetics/kinematics/course_jumps.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <Eigen/Core>
#include <Eigen/LU>

namespace kinetics {
namespace {

/// Sightings on either side that are looked at together.
constexpr std::size_t kOnEitherSide = 4;
constexpr int kTogether = 2 * kOnEitherSide;
/// A bar that is dropped or thrown changes its velocity by less than this at once, m/s. From one
/// sighting to the next that looks like a jump of half as much times the time between them.
constexpr double kStrongestBlow_mps = 5.0;
/// A jump must stand out from how far the sightings lie off the two courses, in sigmas.
constexpr double kClearlySigmas = 6.0;

/// A lone stray lies off the cubic through three sightings on either side by so many sigmas and by
/// so much, m.
constexpr std::size_t kBesideStray = 3;
constexpr double kStraySigmas = 8.0;
constexpr double kLeastStray_m = 0.005;

using Window = std::array<const PathPoint*, kTogether>;

/// By how much the second half lies beside where the first one was going.
struct Step {
  double size_m = 0.0;
  double sigma_m = 0.0;
};

/// A parabola with a step in the middle, by least squares.
Step step_between(const Window& w, double PathPoint::*place, double PathPoint::*sigma) {
  const double middle_s = 0.5 * (w[kOnEitherSide - 1]->t_s + w[kOnEitherSide]->t_s);
  const double length_s = w.back()->t_s - w.front()->t_s;
  Eigen::Matrix<double, kTogether, 4> terms;
  Eigen::Matrix<double, kTogether, 1> places;
  double stated = 0.0;
  for (std::size_t i = 0; i < w.size(); ++i) {
    const double t = (w[i]->t_s - middle_s) / length_s;
    const auto row = static_cast<Eigen::Index>(i);
    terms.row(row) << 1.0, t, t * t, i < kOnEitherSide ? 0.0 : 1.0;
    places(row) = w[i]->*place - w.front()->*place;
    stated = std::max(stated, w[i]->*sigma);
  }
  const Eigen::Matrix4d inverse = (terms.transpose() * terms).inverse();
  const Eigen::Vector4d fit = inverse * terms.transpose() * places;
  const double off_m = (places - terms * fit).norm() / std::sqrt(kTogether - 4);
  return {fit(3), std::max(off_m, stated) * std::sqrt(inverse(3, 3))};
}

/// How clearly the course jumps in the middle: above 1 it does.
double clearness(const Step& step, double dt_s) {
  return std::abs(step.size_m) / (0.5 * kStrongestBlow_mps * dt_s + kClearlySigmas * step.sigma_m);
}

/// Whether the sighting `k` lies off the course of its neighbours.
bool strays(const std::vector<const PathPoint*>& seen, std::size_t k, double noise_scale) {
  constexpr int kNeighbours = 2 * static_cast<int>(kBesideStray);
  const auto terms_at = [&](double t_s) {
    const double reach_s = seen[k + kBesideStray]->t_s - seen[k - kBesideStray]->t_s;
    const double t = (t_s - seen[k]->t_s) / reach_s;
    return Eigen::RowVector4d(1.0, t, t * t, t * t * t);
  };
  Eigen::Matrix<double, kNeighbours, 4> terms;
  Eigen::Matrix<double, kNeighbours, 1> places;
  double stated = noise_scale * seen[k]->sigma_y_m;
  Eigen::Index row = 0;
  for (std::size_t i = k - kBesideStray; i <= k + kBesideStray; ++i) {
    if (i == k) continue;
    terms.row(row) = terms_at(seen[i]->t_s);
    places(row++) = seen[i]->y_m - seen[k]->y_m;
    stated = std::max(stated, noise_scale * seen[i]->sigma_y_m);
  }
  const Eigen::Matrix4d inverse = (terms.transpose() * terms).inverse();
  const Eigen::Vector4d fit = inverse * terms.transpose() * places;
  const double scatter = (places - terms * fit).norm() / std::sqrt(kNeighbours - 4);
  const double sigma = std::max(scatter, stated) * std::sqrt(1.0 + inverse(0, 0));
  return std::abs(fit(0)) > std::max(kLeastStray_m, kStraySigmas * sigma);
}

}  // namespace

std::vector<char> lone_strays(const std::vector<PathPoint>& points,
                              double noise_scale,
                              double max_gap_s) {
  std::vector<char> lone(points.size(), 0);
  std::vector<const PathPoint*> seen;
  for (const PathPoint& p : points) {
    if (p.seen) seen.push_back(&p);
  }
  for (std::size_t k = kBesideStray; k + kBesideStray < seen.size(); ++k) {
    const bool near = seen[k]->t_s - seen[k - kBesideStray]->t_s <= max_gap_s &&
                      seen[k + kBesideStray]->t_s - seen[k]->t_s <= max_gap_s;
    if (near && strays(seen, k, noise_scale)) {
      lone[static_cast<std::size_t>(seen[k] - points.data())] = 1;
    }
  }
  return lone;
}

std::vector<char> jumps_of_course(const std::vector<PathPoint>& points,
                                  double noise_scale,
                                  double max_gap_s) {
  std::vector<char> jumps(points.size(), 0);
  std::vector<PathPoint> seen;
  std::vector<std::size_t> at;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!points[i].seen) continue;
    seen.push_back(points[i]);
    seen.back().sigma_x_m *= noise_scale;
    seen.back().sigma_y_m *= noise_scale;
    at.push_back(i);
  }
  std::vector<double> clear(seen.size(), 0.0);
  for (std::size_t k = kOnEitherSide; k + kOnEitherSide <= seen.size(); ++k) {
    Window w{};
    for (std::size_t i = 0; i < w.size(); ++i) w[i] = &seen[k - kOnEitherSide + i];
    const double dt_s = seen[k].t_s - seen[k - 1].t_s;
    const bool near = dt_s <= max_gap_s && seen[k - 1].t_s - w.front()->t_s <= max_gap_s &&
                      w.back()->t_s - seen[k].t_s <= max_gap_s;
    if (!near) continue;
    clear[k] = std::max(clearness(step_between(w, &PathPoint::y_m, &PathPoint::sigma_y_m), dt_s),
                        clearness(step_between(w, &PathPoint::x_m, &PathPoint::sigma_x_m), dt_s));
  }
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (clear[k] <= 1.0) continue;
    const std::size_t from = k - std::min(k, kOnEitherSide);
    const std::size_t to = std::min(k + kOnEitherSide + 1, seen.size());
    const auto first = clear.begin() + static_cast<std::ptrdiff_t>(from);
    const auto last = clear.begin() + static_cast<std::ptrdiff_t>(to);
    if (clear[k] == *std::max_element(first, last)) jumps[at[k]] = 1;
  }
  return jumps;
}

}  // namespace kinetics
