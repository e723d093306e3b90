#include "libkinetics/kinematics/jerk_density.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

// From postural sway (2 mm at 0.7 Hz: about 0.02) to a disc striking the floor.
constexpr std::array<double, 8> kLadder_m2ps5 = {1e-2, 1e-1, 1e0, 1e1, 1e2, 1e3, 1e4, 1e5};
constexpr std::size_t kRungs = kLadder_m2ps5.size();
using Weights = std::array<double, kRungs>;

// A lift passes through rest, start, drive and stop in about a second.
constexpr double kSwitchesPerSecond = 4.0;
// Where the rungs disagree the density is taken this many of their standard deviations (in its
// logarithm) above their mean: too stiff a smoother shifts every start and stop, too soft a one
// only adds noise that the covariance knows about. Chosen on the motions of the coverage test.
constexpr double kLeanToSharp = 0.7;

// Chain weights of every rung at every sighting, given all sightings, run in place over `weights`.
std::vector<Weights> chain_weights(const std::vector<HeightSighting>& sightings, bool backwards) {
  const std::size_t n = sightings.size();
  std::vector<Weights> emission(n);
  for (std::size_t j = 0; j < kRungs; ++j) {
    const std::vector<float> density = log_densities(sightings, kLadder_m2ps5[j], backwards);
    for (std::size_t i = 0; i < n; ++i) emission[i][j] = static_cast<double>(density[i]);
  }
  for (Weights& e : emission) {
    const double best = *std::max_element(e.begin(), e.end());
    // A floor per sighting: one outlier must not decide the regime of its neighbourhood.
    for (double& value : e) value = std::exp(std::max(value - best, -8.0));
  }

  const auto step = [&](Weights w, std::size_t from, std::size_t to) {
    const double dt = std::abs(sightings[to].t_s - sightings[from].t_s);
    const double change = 1.0 - std::exp(-kSwitchesPerSecond * dt);
    double sum = 0.0;
    for (const double value : w) sum += value;
    for (double& value : w) value = (1.0 - change) * value / sum + change / kRungs;
    return w;
  };
  std::vector<Weights> filtered(n);
  Weights uniform;
  uniform.fill(1.0 / kRungs);
  for (std::size_t i = 0; i < n; ++i) {
    filtered[i] = i == 0 ? uniform : step(filtered[i - 1], i - 1, i);
    for (std::size_t j = 0; j < kRungs; ++j) filtered[i][j] *= emission[i][j];
  }
  Weights later = uniform;
  for (std::size_t i = n; i-- > 0;) {
    if (i + 1 < n) {
      for (std::size_t j = 0; j < kRungs; ++j) later[j] *= emission[i + 1][j];
      later = step(later, i + 1, i);
    }
    double sum = 0.0;
    for (std::size_t j = 0; j < kRungs; ++j) sum += filtered[i][j] *= later[j];
    for (double& value : filtered[i]) value /= sum;
  }
  return filtered;
}

std::vector<double> mean_log_density(const std::vector<Weights>& weights) {
  std::vector<double> out(weights.size(), 0.0);
  for (std::size_t i = 0; i < weights.size(); ++i) {
    double square = 0.0;
    for (std::size_t j = 0; j < kRungs; ++j) {
      const double log_density = std::log(kLadder_m2ps5[j]);
      out[i] += weights[i][j] * log_density;
      square += weights[i][j] * log_density * log_density;
    }
    out[i] += kLeanToSharp * std::sqrt(std::max(square - out[i] * out[i], 0.0));
  }
  return out;
}

double log_likelihood(const std::vector<HeightSighting>& sightings, double density) {
  const FitQuality fit = fit_quality(sightings, density);
  const double n = static_cast<double>(fit.count);
  return -0.5 * (n * fit.mean_square + fit.sum_log_variance);
}

}  // namespace

double likeliest_density(const std::vector<HeightSighting>& sightings) {
  // The likelihood of ln q has one hump in practice; a coarse look first guards against a flat
  // side.
  double best = 1.0;
  double best_likelihood = -INFINITY;
  for (double density = 1e-3; density < 2e6; density *= 10.0) {
    const double likelihood = log_likelihood(sightings, density);
    if (likelihood > best_likelihood) {
      best_likelihood = likelihood;
      best = density;
    }
  }
  double lo = std::log(best) - std::log(10.0);
  double hi = std::log(best) + std::log(10.0);
  constexpr double kGolden = 0.6180339887498949;
  double a = hi - kGolden * (hi - lo);
  double b = lo + kGolden * (hi - lo);
  double fa = log_likelihood(sightings, std::exp(a));
  double fb = log_likelihood(sightings, std::exp(b));
  while (hi - lo > 0.05) {
    if (fa > fb) {
      hi = b;
      b = a;
      fb = fa;
      a = hi - kGolden * (hi - lo);
      fa = log_likelihood(sightings, std::exp(a));
    } else {
      lo = a;
      a = b;
      fa = fb;
      b = lo + kGolden * (hi - lo);
      fb = log_likelihood(sightings, std::exp(b));
    }
  }
  return std::exp(0.5 * (lo + hi));
}

JerkDensity changing_density(const std::vector<HeightSighting>& sightings) {
  const std::vector<double> forth = mean_log_density(chain_weights(sightings, false));
  const std::vector<double> back = mean_log_density(chain_weights(sightings, true));
  JerkDensity out;
  const std::size_t n = sightings.size();
  out.psd_m2ps5.reserve(n);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const double here = std::max(forth[i], back[i]);
    const double next = std::max(forth[i + 1], back[i + 1]);
    out.psd_m2ps5.push_back(std::exp(std::max(here, next)));
  }
  std::vector<double> moving;
  for (const double q : out.psd_m2ps5) {
    if (q > 1.0) moving.push_back(q);
  }
  if (!moving.empty()) {
    out.typical_m2ps5 = median_of(std::move(moving));
  } else if (!out.psd_m2ps5.empty()) {
    out.typical_m2ps5 = *std::max_element(out.psd_m2ps5.begin(), out.psd_m2ps5.end());
  }
  return out;
}

}  // namespace kinetics
