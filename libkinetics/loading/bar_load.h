#pragma once

#include <string>
#include <vector>

#include "libkinetics/loading/band.h"
#include "libkinetics/loading/chain.h"
#include "libkinetics/loading/discs.h"
#include "libkinetics/loading/mass.h"

/// The load on the bar: what hangs from it, and what it weighs at each height.
///
///     BarLoad load{.bar_kg = 20, .discs_kg = 80};
///     load.chains.push_back({.name = "chain 13 mm", .mass_kg_per_m = 3.8, .free_length_m = 1.6});
///     LoadAt top = load_at(load, 1.35);

namespace kinetics {

/// Everything that loads the bar.
struct BarLoad {
  double bar_kg = 20.0;
  double discs_kg = 0.0;           ///< all discs, both sides
  double collars_kg = 0.0;         ///< all collars
  double straight_sigma_kg = 0.0;  ///< one standard error of bar, discs and collars together
  std::vector<Chain> chains = {};
  std::vector<Band> bands = {};
  std::string bar_name = {};    ///< for describing only
  DiscStack discs_a_side = {};  ///< for describing only; hang_discs() fills both
  double gravity_mps2 = kStandardGravity;
};

/// Puts the same discs on both sides: sets `discs_kg` and `discs_a_side`.
void hang_discs(BarLoad& load, DiscStack side);

/// The load at one height.
struct LoadAt {
  double weight_n = 0.0;              ///< static force the lifter holds against, downward
  double weight_sigma_n = 0.0;        ///< one standard error
  double weight_slope_n_per_m = 0.0;  ///< its change with height
  double moving_kg = 0.0;             ///< mass that accelerates with the bar
  double picked_up_kg_per_m = 0.0;    ///< chain leaving the floor for each metre risen
};

/// The load with the bar's centre line at a height above the floor.
///
/// What it takes to move it is in push_n().
///
/// Shape     one height in, one load out.
/// Frame     heights above the floor the chain piles on, upward.
/// Accuracy  exact for rigid parts and hanging links. A link counts for the part of it off the
///           floor. Chain swing and rubber's lag (it pulls less while shortening) are left out.
/// Errors    none; a load is checked when it is made.
[[nodiscard]] LoadAt load_at(const BarLoad& load, double bar_height_m);

/// The force that holds the load and moves it at a velocity and an acceleration, upward positive:
///     weight_n + moving_kg a + picked_up_kg_per_m v²,
/// the last on the way up only.
///
/// It jerks each link from rest to v as it leaves the floor: 7.6 N at 1 m/s for two strands of 13
/// mm chain. Half of that work is lost to rattle. On the way down the floor stops the links, not
/// the bar. Only links off the floor accelerate; those on it neither weigh nor move.
///
/// Source    momentum balance of a chain drawn from a pile; measured falls of piled chain do not
///           conserve energy (C. A. de Sousa, P. M. Gordo, P. Costa, arXiv:1110.6035).
[[nodiscard]] double push_n(const LoadAt& at, double velocity_mps, double accel_mps2);

/// The same load with the height's own standard error counted in `weight_sigma_n`.
[[nodiscard]] LoadAt with_height_sigma(LoadAt at, double height_sigma_m);

/// Potential energy of everything on the bar, stretched rubber included; only differences matter.
/// Its change over a lift is the work done against the load.
[[nodiscard]] double potential_energy_j(const BarLoad& load, double bar_height_m);

/// The load over a lift from `bottom_m` to `top_m`, in newtons and as the straight weight that
/// would weigh the same, in kilograms. `mean` is over height: work divided by the way.
struct LoadSpan {
  LoadAt bottom = {};
  LoadAt top = {};
  double mean_weight_n = 0.0;
  double mean_weight_sigma_n = 0.0;  ///< one standard error
  double mean_moving_kg = 0.0;
  double straight_kg = 0.0;  ///< mean_weight_n over gravity
};

/// Accuracy: the mean is exact, not sampled: the change of potential energy over the way.
[[nodiscard]] LoadSpan load_span(const BarLoad& load, double bottom_m, double top_m);

}  // namespace kinetics
