#include "libkinetics/loading/bar_load.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

namespace kinetics {
namespace {

// A band stretched evenly between a fixed anchor and the bar: half its weight hangs on the bar, and
// its kinetic energy is that of a third of its mass moving with the bar, since each point moves by
// its share of the length.
constexpr double kBandWeightShare = 0.5;
constexpr double kBandInertiaShare = 1.0 / 3.0;

// Below it the bar did not move and the mean is the load itself, m.
constexpr double kNoWay = 1e-6;

double straight_kg(const BarLoad& load) {
  return load.bar_kg + load.discs_kg + load.collars_kg;
}

double all_of(const Band& band) {
  return band.mass_kg * band.count;
}

/// Mean over the way by Simpson's rule, for standard errors: smooth but for a few kinks.
double mean_over(double bottom_m, double top_m, const std::function<double(double)>& f) {
  constexpr int kSteps = 64;
  double sum = f(bottom_m) + f(top_m);
  for (int i = 1; i < kSteps; ++i) {
    sum += (i % 2 == 1 ? 4.0 : 2.0) * f(bottom_m + (top_m - bottom_m) * i / kSteps);
  }
  return sum / (3.0 * kSteps);
}

/// Each part's error is one and the same all the way up, so its mean adds up without averaging out.
double mean_weight_sigma_n(const BarLoad& load, double bottom_m, double top_m) {
  double variance = std::pow(load.gravity_mps2 * load.straight_sigma_kg, 2);
  for (const Chain& chain : load.chains) {
    const double mean_kg =
        mean_over(bottom_m, top_m, [&](double h) { return chain_at(chain, h).hanging_sigma_kg; });
    variance += std::pow(load.gravity_mps2 * mean_kg, 2);
  }
  for (const Band& band : load.bands) {
    const double mean_n =
        mean_over(bottom_m, top_m, [&](double h) { return band_at(band, h).pull_sigma_n; });
    variance += mean_n * mean_n;
  }
  return std::sqrt(variance);
}

/// Moving mass integrated over height, from any fixed height.
double moving_integral_kg_m(const BarLoad& load, double bar_height_m) {
  double sum = straight_kg(load) * bar_height_m;
  for (const Chain& chain : load.chains) sum += chain_at(chain, bar_height_m).potential_kg_m;
  for (const Band& band : load.bands) sum += kBandInertiaShare * all_of(band) * bar_height_m;
  return sum;
}

}  // namespace

void hang_discs(BarLoad& load, DiscStack side) {
  load.discs_kg = 2.0 * stack_kg(side);
  load.discs_a_side = std::move(side);
}

LoadAt load_at(const BarLoad& load, double bar_height_m) {
  const double g = load.gravity_mps2;
  double weighed_kg = straight_kg(load);
  LoadAt at{.moving_kg = weighed_kg};
  double variance = std::pow(g * load.straight_sigma_kg, 2);
  for (const Chain& chain : load.chains) {
    const ChainAt one = chain_at(chain, bar_height_m);
    weighed_kg += one.hanging_kg;
    at.moving_kg += one.hanging_kg;
    at.picked_up_kg_per_m += one.picked_up_kg_per_m;
    variance += std::pow(g * one.hanging_sigma_kg, 2);
  }
  at.weight_slope_n_per_m = g * at.picked_up_kg_per_m;
  for (const Band& band : load.bands) {
    const BandAt one = band_at(band, bar_height_m);
    weighed_kg += kBandWeightShare * all_of(band);
    at.moving_kg += kBandInertiaShare * all_of(band);
    at.weight_n += one.pull_n;
    at.weight_slope_n_per_m += one.pull_slope_n_per_m;
    variance += one.pull_sigma_n * one.pull_sigma_n;
  }
  at.weight_n += g * weighed_kg;
  at.weight_sigma_n = std::sqrt(variance);
  return at;
}

double push_n(const LoadAt& at, double velocity_mps, double accel_mps2) {
  const double up_mps = std::max(velocity_mps, 0.0);
  return at.weight_n + at.moving_kg * accel_mps2 + at.picked_up_kg_per_m * up_mps * up_mps;
}

LoadAt with_height_sigma(LoadAt at, double height_sigma_m) {
  at.weight_sigma_n = std::hypot(at.weight_sigma_n, at.weight_slope_n_per_m * height_sigma_m);
  return at;
}

double potential_energy_j(const BarLoad& load, double bar_height_m) {
  double weighed_kg_m = straight_kg(load) * bar_height_m;
  for (const Chain& chain : load.chains) {
    weighed_kg_m += chain_at(chain, bar_height_m).potential_kg_m;
  }
  double rubber_j = 0.0;
  for (const Band& band : load.bands) {
    weighed_kg_m += kBandWeightShare * all_of(band) * bar_height_m;
    rubber_j += band_at(band, bar_height_m).energy_j;
  }
  return load.gravity_mps2 * weighed_kg_m + rubber_j;
}

LoadSpan load_span(const BarLoad& load, double bottom_m, double top_m) {
  LoadSpan span{.bottom = load_at(load, bottom_m), .top = load_at(load, top_m)};
  const double way_m = top_m - bottom_m;
  if (std::abs(way_m) > kNoWay) {
    span.mean_weight_n =
        (potential_energy_j(load, top_m) - potential_energy_j(load, bottom_m)) / way_m;
    span.mean_moving_kg =
        (moving_integral_kg_m(load, top_m) - moving_integral_kg_m(load, bottom_m)) / way_m;
  } else {
    span.mean_weight_n = (span.bottom.weight_n + span.top.weight_n) / 2.0;
    span.mean_moving_kg = (span.bottom.moving_kg + span.top.moving_kg) / 2.0;
  }
  span.mean_weight_sigma_n = mean_weight_sigma_n(load, bottom_m, top_m);
  span.straight_kg = span.mean_weight_n / load.gravity_mps2;
  return span;
}

}  // namespace kinetics
