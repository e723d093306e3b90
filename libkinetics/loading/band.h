#pragma once

#include <string>
#include <utility>
#include <vector>

/// Rubber bands between the bar and an anchor.

namespace kinetics {

/// Tension of one band, unfolded, against its stretched length. Either the table or the
/// polynomial is given, never both.
struct BandTension {
  /// Measured rows, ascending. Between rows a curve that never overshoots them (monotone cubic);
  /// beyond the last one a straight line goes on.
  std::vector<std::pair<double, double>> length_m_tension_n = {};
  /// tension = sum c_i (length - rest_length_m)^i, c_0 first.
  std::vector<double> polynomial_n = {};
  /// Covariance of the c_i, row by row; empty when it is not known.
  std::vector<double> polynomial_covariance_n2 = {};
  double rest_length_m = 0.0;    ///< no tension at or below it
  double tension_sigma_n = 0.0;  ///< one standard error, besides the covariance
  /// Longest length of the readings behind a polynomial, beyond which its tangent goes on;
  /// zero: the polynomial holds everywhere.
  double known_to_m = 0.0;
  double known_from_m = 0.0;    ///< shortest of those lengths; for telling only
  double limit_length_m = 0.0;  ///< never to be stretched beyond it; zero: not stated
};

/// Bands of one kind, pulling the bar towards an anchor: down to the floor or up to the rack.
struct Band {
  std::string name = {};
  BandTension tension = {};
  double anchor_height_m = 0.0;  ///< above the floor; above the bar it pulls up (reverse bands)
  double anchor_offset_m = 0.0;  ///< sideways from the bar's plumb
  double wrap_length_m = 0.0;    ///< band used up by the choke at the anchor and round the bar
  bool doubled = false;          ///< folded: half the length, twice the tension
  double mass_kg = 0.0;          ///< of one
  int count = 2;                 ///< all of them, both sides together
};

/// Tension of one unfolded band at one length.
struct TensionAt {
  double tension_n = 0.0;
  double slope_n_per_m = 0.0;
  double energy_j = 0.0;  ///< stored since it was slack
  double sigma_n = 0.0;
};

[[nodiscard]] TensionAt tension_at(const BandTension& tension, double length_m);

/// Length that one unfolded band is stretched to with the bar at a height.
[[nodiscard]] double stretched_length_m(const Band& band, double bar_height_m);

/// What all bands of one entry do to the bar: the vertical part of their pull and their own weight.
struct BandAt {
  double pull_n = 0.0;  ///< downward; negative when they pull up. Tension only
  double pull_slope_n_per_m = 0.0;
  double pull_sigma_n = 0.0;
  double energy_j = 0.0;  ///< stored in the rubber
};

[[nodiscard]] BandAt band_at(const Band& band, double bar_height_m);

}  // namespace kinetics
