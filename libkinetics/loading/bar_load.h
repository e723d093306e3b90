// The load on the bar: what hangs from it, and what it weighs at each height.
//
// Example:
//   BarLoad load{.bar_kg = 20, .discs_kg = 80};
//   load.chains.push_back({.name = "chain 13 mm", .mass_kg_per_m = 3.8, .free_length_m = 1.6});
//   LoadAt top = load_at(load, 1.35);

#pragma once

#include <string>
#include <utility>
#include <vector>

namespace kinetics {

/// One strand of chain hanging from the bar. Two strands, one a side, are two entries or
/// `strands = 2`.
struct Chain {
  std::string name;
  double mass_kg_per_m = 0;
  double free_length_m = 0;    // of the strand as it hangs; half the chain when it is doubled
  bool doubled = false;        // two runs of links side by side: twice the mass a metre
  double leader_length_m = 0;  // light rope, strap or thin chain between bar and chain
  double leader_kg_per_m = 0;
  double attachment_below_bar_m = 0;  // where the leader starts, below the bar's centre line
  int strands = 2;                    // all of them, both sides together
};

/// Tension of one band against its stretched length.
struct BandTension {
  std::vector<std::pair<double, double>> length_m_tension_n;  // measured, ascending; or
  std::vector<double> polynomial_n;  // tension = sum c_i (length - rest_length_m)^i
  double rest_length_m = 0;          // no tension at or below it
  double tension_sigma_n = 0;
};

/// Bands of one kind, pulling the bar towards an anchor: down to the floor or up to the rack.
struct Band {
  std::string name;
  BandTension tension;
  double anchor_height_m = 0;  // above the floor; above the bar it pulls up (reverse bands)
  double anchor_offset_m = 0;  // sideways from the bar's plumb
  bool doubled = false;        // folded: half the length, twice the tension
  double mass_kg = 0;          // of one
  int count = 2;               // all of them, both sides together
};

/// Everything that loads the bar.
struct BarLoad {
  double bar_kg = 20;
  double discs_kg = 0;    // all discs, both sides
  double collars_kg = 0;  // all collars
  std::vector<Chain> chains;
  std::vector<Band> bands;
};

/// The load at one height.
struct LoadAt {
  double weight_n = 0;              // static force the lifter holds against, downward
  double weight_sigma_n = 0;        // one standard error
  double weight_slope_n_per_m = 0;  // its change with height
  double moving_kg = 0;             // mass that accelerates with the bar
};

/// Shape: one number in, one load out. Frame: `bar_height_m` is the bar's centre line above
/// the floor, upward. Accuracy: exact for rigid parts and hanging links; `weight_sigma_n` for bands.
/// Errors: none; a load is checked when it is made.
LoadAt load_at(const BarLoad& load, double bar_height_m);

/// The load over a lift from `bottom_m` to `top_m`, in newtons and as the straight weight that
/// would weigh the same, in kilograms. `mean` is over height: work divided by the way.
struct LoadSpan {
  LoadAt bottom, top;
  double mean_weight_n = 0;
  double mean_moving_kg = 0;
  double straight_kg = 0;  // mean_weight_n over standard gravity
};

LoadSpan load_span(const BarLoad& load, double bottom_m, double top_m);

}  // namespace kinetics
