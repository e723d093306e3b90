#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/loading/band.h"
#include "libkinetics/loading/mass.h"

/// The tension curve of a band from a few scale readings.

namespace kinetics {

/// Tension of one band, unfolded, at one stretched length.
struct BandReading {
  double length_m = 0.0;
  double tension_n = 0.0;
};

/// The reading of a scale that holds the bar down, or up, against bands hung as they are used:
/// `pull_kg` is what all of them add to or take off the bar, their own weight left out.
///
/// Errors    throws Error{kUsage} when the bar is at the anchor's height, where nothing pulls.
[[nodiscard]] BandReading reading_as_hung(const Band& band,
                                          double bar_height_m,
                                          double pull_kg,
                                          double gravity_mps2 = kStandardGravity);

struct BandFitOptions {
  double rest_length_m = 0.0;  ///< measured slack, counts as a reading of no tension; zero: unknown
  double reading_sigma_n = 5.0;  ///< of the scale, one standard error: half a kilogram
};

struct BandFit {
  BandTension tension = {};
  bool curved = false;
  std::vector<double> residual_n = {};  ///< reading minus curve, in the order given
  double rms_residual_n = 0.0;
  std::size_t worst = 0;  ///< index of the reading furthest off
  double chi_squared = 0.0;
  int degrees_of_freedom = 0;
  Notes notes = {};
};

/// Fits a straight line, or a curve of second order when the readings show that a line misses them.
///
/// Shape     two readings or more (the rest length counts as one) at two lengths or more.
/// Accuracy  two readings without a rest length are met exactly by the line. The uncertainty counts
///           the scale's and the next term that is left out, as large as a neo-Hookean band through
///           the same readings has it; larger scatter than stated widens it. 95 % intervals held
///           the tension of such bands between the readings in 93 % of cases or more, for 2 to 5
///           readings (tests/loading/fit_band_test.cpp). Below the first reading it is a guess.
/// Errors    throws Error{kUsage} naming the reading for too few of them, numbers that are none,
///           tension that falls with length, or tension at or below the rest length.
/// Source    measured gym bands follow second-order polynomials (McMaster, Cronin, McGuigan,
///           J Strength Cond Res 24 (2010) 2056-2064); the curve is taken when it lowers
///           chi-squared by more than 3.84, the 95 % point for one more term.
[[nodiscard]] BandFit fit_band(const std::vector<BandReading>& readings,
                               const BandFitOptions& options = {});

/// One line a reading: length, tension, fitted, residual. Then the scatter.
[[nodiscard]] std::string describe(const BandFit& fit, const std::vector<BandReading>& readings);

}  // namespace kinetics
