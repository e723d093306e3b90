#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/loading/bar_load.h"

/// A load made to agree with a scale that weighed the whole bar at several heights.

namespace kinetics {

/// What the scale showed with the bar, and all that hangs from it, held at one height.
struct ScaleReading {
  double bar_height_m = 0.0;
  double scale_kg = 0.0;
};

struct LoadFitOptions {
  double reading_sigma_kg = 0.5;  ///< of the scale, one standard error
  double tare_kg = 0.0;           ///< lifter, rack or blocks on the scale too
  bool fit_straight = false;      ///< bar, discs and collars may weigh something else than stated
  bool fit_chains = true;         ///< one factor for all chains
  bool fit_bands = true;          ///< one factor for all bands
};

/// A number fitted, or left as stated with a sigma of zero.
struct FittedFactor {
  double value = 1.0;
  double sigma = 0.0;
  bool fitted = false;
};

struct LoadFit {
  BarLoad load = {};                        ///< with the factors in it
  FittedFactor straight_kg = {.value = 0};  ///< what bar, discs and collars weigh
  FittedFactor chains = {};                 ///< real over stated
  FittedFactor bands = {};
  std::vector<double> residual_kg = {};  ///< reading minus fitted load, in the order given
  double rms_residual_kg = 0.0;
  std::size_t worst = 0;
  int degrees_of_freedom = 0;
  Notes notes = {};
};

/// Fits the factors by least squares. A load without chains or bands has no factor for them.
///
/// Shape     at least as many readings as factors, at heights that tell them apart.
/// Accuracy  exact for readings without error; the sigmas are the scale's, or the readings' scatter
///           when that is more. They go into the fitted load's own uncertainty.
/// Errors    throws Error{kUsage} for readings that are none, too few, or that cannot tell the
///           factors apart (all with the chain off the floor, say), and for a factor that comes out
///           negative.
[[nodiscard]] LoadFit fit_load(const BarLoad& stated,
                               const std::vector<ScaleReading>& readings,
                               const LoadFitOptions& options = {});

/// One line a reading: height, scale, fitted, residual. Then the factors.
[[nodiscard]] std::string describe(const LoadFit& fit, const std::vector<ScaleReading>& readings);

}  // namespace kinetics
