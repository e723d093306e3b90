#pragma once

#include <string>

/// Chain that hangs from the bar and piles on the floor.

namespace kinetics {

/// Strands of one kind of chain. Lengths are of the strand as it hangs.
struct Chain {
  std::string name = {};
  double mass_kg_per_m = 0.0;
  double mass_sigma_kg_per_m = 0.0;  ///< one standard error, the same for all strands
  double free_length_m = 0.0;        ///< half the chain when it is doubled
  bool doubled = false;              ///< two runs of links side by side: twice the mass a metre
  double leader_length_m = 0.0;      ///< light rope, strap or thin chain between bar and chain
  double leader_kg_per_m = 0.0;
  double attachment_below_bar_m = 0.0;  ///< where the leader starts, below the bar's centre line
  int strands = 2;                      ///< all of them, both sides together
};

/// What the strands of one entry do at one height of the bar.
struct ChainAt {
  double hanging_kg = 0.0;          ///< links and leader off the floor: weighed and moved
  double picked_up_kg_per_m = 0.0;  ///< mass that leaves the floor for each metre risen
  double potential_kg_m = 0.0;    ///< its potential energy over gravity; zero with all on the floor
  double hanging_sigma_kg = 0.0;  ///< one standard error of `hanging_kg`
};

/// Exact for a chain of many small links: a link counts for the part of it that is off the floor.
[[nodiscard]] ChainAt chain_at(const Chain& chain, double bar_height_m);

}  // namespace kinetics
