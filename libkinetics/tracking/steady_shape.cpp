#include "libkinetics/tracking/steady_shape.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <Eigen/Dense>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

/// The distance may change over such a time, s: the lifter steps, the bar swings.
constexpr double kDistanceWindowS = 1.5;
/// Errors of so many neighbouring pictures are alike.
constexpr double kAlikeFrames = 10.0;
/// From fewer glimpses nothing is learnt.
constexpr std::size_t kFewest = 30;
/// A shape that is farther off than so many sigma was not the disc's, and its centre is moved no
/// farther than that.
constexpr double kMostSigmas = 4.685;
constexpr double kLeastSigmaPx = 0.01;

/// 1, place, place², speed: in spans, so that all are of one size.
using Terms = Eigen::Vector4d;

struct Seen {
  Glimpse* glimpse = nullptr;
  Terms terms = Terms::Zero();
  double weight = 0.0;
};

std::vector<Seen> seen_of(std::vector<Glimpse>& glimpses) {
  std::vector<Seen> seen;
  std::vector<double> places;
  for (Glimpse& g : glimpses) {
    const bool fitted = std::any_of(
        g.centre_by_shape.begin(), g.centre_by_shape.end(), [](float v) { return v != 0.0F; });
    if (!g.seen || !fitted) continue;
    seen.push_back({.glimpse = &g});
    places.push_back(g.y_px);
  }
  if (seen.size() < kFewest) return {};
  const double middle = median_of(places);
  const auto [low, high] = std::minmax_element(places.begin(), places.end());
  const double span = std::max(0.5 * (*high - *low), 20.0);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const Glimpse& before = *seen[i > 1 ? i - 2 : 0].glimpse;
    const Glimpse& after = *seen[std::min(i + 2, seen.size() - 1)].glimpse;
    const int frames = after.frame - before.frame;
    const double speed = frames > 0 && frames < 12 ? (after.y_px - before.y_px) / frames : 0.0;
    const double s = (places[i] - middle) / span;
    seen[i].terms << 1.0, s, s * s, 0.1 * speed;
    seen[i].weight = std::pow(std::min(1.0F, seen[i].glimpse->rim_seen), 4.0);
  }
  return seen;
}

double biweight(double ratio) {
  const double left = 1.0 - ratio * ratio;
  return std::abs(ratio) < 1.0 ? left * left : 0.0;
}

/// What one number of the shape should have been in each glimpse.
struct Steady {
  std::vector<double> values;
  double sigma_px = 0.0;  ///< of a glimpse about it
  double own_sigma_px = 0.0;
};

/// How far off the fit is, slowly: weighted mean with an exponential window to both sides.
std::vector<double> slow_part(const std::vector<Seen>& seen,
                              const std::vector<double>& residuals,
                              double tolerance,
                              double window_frames,
                              double& mean_mass) {
  const std::size_t n = seen.size();
  std::vector<double> sum(n, 0.0), mass(n, 0.0), weight(n);
  for (std::size_t i = 0; i < n; ++i) {
    weight[i] = seen[i].weight * biweight(residuals[i] / tolerance);
  }
  const auto run = [&](bool forward) {
    double s = 0.0, m = 0.0;
    for (std::size_t k = 0; k < n; ++k) {
      const std::size_t i = forward ? k : n - 1 - k;
      if (k > 0) {
        const std::size_t before = forward ? i - 1 : i + 1;
        const double keep = std::exp(
            -std::abs(seen[i].glimpse->frame - seen[before].glimpse->frame) / window_frames);
        s *= keep;
        m *= keep;
      }
      // The glimpse itself counts once, on the way forward.
      sum[i] += s + (forward ? weight[i] * residuals[i] : 0.0);
      mass[i] += m + (forward ? weight[i] : 0.0);
      s += weight[i] * residuals[i];
      m += weight[i];
    }
  };
  run(true);
  run(false);
  mean_mass = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    mean_mass += mass[i] / static_cast<double>(n);
    // A weak pull to zero, as if some glimpses had shown no change.
    sum[i] /= mass[i] + kAlikeFrames;
  }
  return sum;
}

Steady steady_of(const std::vector<Seen>& seen, double frame_rate_hz, float Glimpse::*number) {
  Steady out;
  const std::size_t n = seen.size();
  std::vector<double> first;
  for (const Seen& s : seen) first.push_back(s.glimpse->*number);
  Terms c = Terms::Zero();
  c(0) = median_of(first);
  std::vector<double> residuals(n), sizes(n);
  const auto look = [&] {
    for (std::size_t i = 0; i < n; ++i) {
      residuals[i] = first[i] - c.dot(seen[i].terms);
      sizes[i] = std::abs(residuals[i]);
    }
    out.sigma_px = std::max(kLeastSigmaPx, 1.4826 * median_of(sizes));
  };
  look();
  for (int pass = 0; pass < 6; ++pass) {
    // Weak priors: perspective and lens change a shape by some percent over the span.
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    const double prior = std::pow(out.sigma_px / (0.02 * std::abs(c(0)) + 0.1), 2);
    normal.diagonal() << 0.0, prior, 4.0 * prior, prior;
    Terms right = Terms::Zero();
    for (std::size_t i = 0; i < n; ++i) {
      const double w = seen[i].weight * biweight(residuals[i] / (kMostSigmas * out.sigma_px));
      normal += w * seen[i].terms * seen[i].terms.transpose();
      right += w * first[i] * seen[i].terms;
    }
    if (normal(0, 0) < 1.0) break;
    c = normal.ldlt().solve(right);
    look();
  }
  double mean_mass = 0.0;
  out.values.resize(n);
  for (std::size_t i = 0; i < n; ++i) out.values[i] = c.dot(seen[i].terms);
  // Twice, for what the first pass smooths away of a steady change (twicing: J. W. Tukey,
  // Exploratory Data Analysis, 1977).
  for (int pass = 0; pass < 2; ++pass) {
    const double tolerance = kMostSigmas * out.sigma_px;
    const double window_frames = kDistanceWindowS * frame_rate_hz;
    const auto slow = slow_part(seen, residuals, tolerance, window_frames, mean_mass);
    for (std::size_t i = 0; i < n; ++i) {
      out.values[i] += slow[i];
      residuals[i] -= slow[i];
      sizes[i] = std::abs(residuals[i]);
    }
  }
  out.sigma_px = std::max(kLeastSigmaPx, 1.4826 * median_of(sizes));
  out.own_sigma_px = out.sigma_px * std::sqrt(kAlikeFrames / (mean_mass + kAlikeFrames));
  return out;
}

}  // namespace

void steady_shape(double frame_rate_hz, std::vector<Glimpse>& glimpses) {
  const std::vector<Seen> seen = seen_of(glimpses);
  if (seen.empty()) return;
  constexpr std::array<float Glimpse::*, 3> kNumbers{&Glimpse::xx, &Glimpse::xy, &Glimpse::yy};
  std::array<Steady, 3> steady;
  for (std::size_t k = 0; k < 3; ++k) steady[k] = steady_of(seen, frame_rate_hz, kNumbers[k]);
  for (std::size_t i = 0; i < seen.size(); ++i) {
    Glimpse& g = *seen[i].glimpse;
    double move_x = 0.0, move_y = 0.0;
    double variance_x = std::pow(g.held_sigma_x_px, 2), variance_y = std::pow(g.held_sigma_y_px, 2);
    for (std::size_t k = 0; k < 3; ++k) {
      const double most = kMostSigmas * steady[k].sigma_px;
      const double off =
          std::clamp(steady[k].values[i] - static_cast<double>(g.*kNumbers[k]), -most, most);
      const double by_x = g.centre_by_shape[k];
      const double by_y = g.centre_by_shape[3 + k];
      move_x += by_x * off;
      move_y += by_y * off;
      variance_x += std::pow(by_x * steady[k].own_sigma_px, 2);
      variance_y += std::pow(by_y * steady[k].own_sigma_px, 2);
    }
    g.x_px += static_cast<float>(move_x);
    g.y_px += static_cast<float>(move_y);
    g.still_x_px += static_cast<float>(move_x);
    g.still_y_px += static_cast<float>(move_y);
    const double lasting = g.lasting_px;
    g.sigma_x_px = static_cast<float>(std::hypot(std::sqrt(variance_x), lasting));
    g.sigma_y_px = static_cast<float>(std::hypot(std::sqrt(variance_y), lasting));
  }
}

}  // namespace kinetics
