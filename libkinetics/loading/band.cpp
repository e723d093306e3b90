#include "libkinetics/loading/band.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/loading/monotone_curve.h"

namespace kinetics {
namespace {

TensionAt table_at(const BandTension& tension, double length_m) {
  std::vector<std::pair<double, double>> rows = tension.length_m_tension_n;
  if (tension.rest_length_m > 0.0 && !rows.empty() && tension.rest_length_m < rows.front().first) {
    rows.insert(rows.begin(), {tension.rest_length_m, 0.0});
  }
  const MonotoneCurve curve(std::move(rows));
  const double slack_m = std::max(tension.rest_length_m, curve.zero_below());
  if (length_m <= slack_m) return {};
  const MonotoneCurve::Point at = curve.at(length_m);
  return {.tension_n = std::max(at.value, 0.0),
          .slope_n_per_m = at.slope,
          .energy_j = at.integral - curve.at(slack_m).integral};
}

/// The polynomial and its derivative and integral from zero, at `u`.
TensionAt polynomial_at(const std::vector<double>& c, double u) {
  TensionAt at;
  for (std::size_t i = c.size(); i-- > 0;) {
    at.energy_j = at.energy_j * u + c[i] / static_cast<double>(i + 1);
    at.slope_n_per_m = at.slope_n_per_m * u + at.tension_n;
    at.tension_n = at.tension_n * u + c[i];
  }
  at.energy_j *= u;
  return at;
}

/// Standard error from the coefficients' covariance; beyond the known range along the tangent.
double polynomial_sigma_n(const BandTension& tension, double u, double beyond_m) {
  const std::size_t n = tension.polynomial_n.size();
  if (tension.polynomial_covariance_n2.size() != n * n) return 0.0;
  std::vector<double> by_coefficient(n);
  double power = 1.0;  // u^i
  double lower = 0.0;  // u^(i-1)
  for (std::size_t i = 0; i < n; ++i) {
    by_coefficient[i] = power + static_cast<double>(i) * lower * beyond_m;
    lower = power;
    power *= u;
  }
  double variance = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      variance +=
          by_coefficient[i] * tension.polynomial_covariance_n2[i * n + j] * by_coefficient[j];
    }
  }
  return std::sqrt(std::max(variance, 0.0));
}

TensionAt curve_at(const BandTension& tension, double length_m) {
  const bool cut = tension.known_to_m > tension.rest_length_m && length_m > tension.known_to_m;
  const double u = (cut ? tension.known_to_m : length_m) - tension.rest_length_m;
  const double beyond_m = cut ? length_m - tension.known_to_m : 0.0;
  TensionAt at = polynomial_at(tension.polynomial_n, u);
  at.energy_j += beyond_m * (at.tension_n + at.slope_n_per_m * beyond_m / 2.0);
  at.tension_n = std::max(at.tension_n + at.slope_n_per_m * beyond_m, 0.0);
  at.sigma_n = polynomial_sigma_n(tension, u, beyond_m);
  return at;
}

}  // namespace

TensionAt tension_at(const BandTension& tension, double length_m) {
  if (!(length_m > tension.rest_length_m)) return {};
  TensionAt at;
  if (!tension.length_m_tension_n.empty()) {
    at = table_at(tension, length_m);
  } else if (!tension.polynomial_n.empty()) {
    at = curve_at(tension, length_m);
  }
  if (at.tension_n > 0.0) at.sigma_n = std::hypot(at.sigma_n, tension.tension_sigma_n);
  return at;
}

double stretched_length_m(const Band& band, double bar_height_m) {
  const double reach_m = std::hypot(bar_height_m - band.anchor_height_m, band.anchor_offset_m);
  return (band.doubled ? 2.0 : 1.0) * reach_m + band.wrap_length_m;
}

BandAt band_at(const Band& band, double bar_height_m) {
  const double rise_m = bar_height_m - band.anchor_height_m;
  const double reach_m = std::hypot(rise_m, band.anchor_offset_m);
  const TensionAt one = tension_at(band.tension, stretched_length_m(band, bar_height_m));
  const double runs = band.doubled ? 2.0 : 1.0;  // each run carries the whole tension

  BandAt at;
  at.energy_j = band.count * one.energy_j;
  if (reach_m <= 0.0) return at;  // the bar is at the anchor: no direction to pull in
  const double upright = rise_m / reach_m;
  const double pull_n = band.count * runs * one.tension_n;
  at.pull_n = pull_n * upright;
  at.pull_sigma_n = band.count * runs * one.sigma_n * std::abs(upright);
  at.pull_slope_n_per_m = band.count * runs * runs * one.slope_n_per_m * upright * upright +
                          pull_n * (1.0 - upright * upright) / reach_m;
  return at;
}

}  // namespace kinetics
