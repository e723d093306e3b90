#include "libkinetics/loading/chain.h"

#include <algorithm>

namespace kinetics {
namespace {

/// Part of a hanging length that is off the floor when its upper end is `end_m` above the floor,
/// and that part integrated over the height.
struct Lifted {
  double length_m = 0.0;
  double integral_m2 = 0.0;
  bool piling = false;  ///< some lies on the floor, some hangs
};

Lifted lifted(double end_m, double length_m) {
  const double up_m = std::clamp(end_m, 0.0, length_m);
  const double above_m = std::max(end_m - length_m, 0.0);  // risen since the last link left
  return {.length_m = up_m,
          .integral_m2 = up_m * up_m / 2.0 + length_m * above_m,
          .piling = end_m >= 0.0 && end_m < length_m};
}

}  // namespace

ChainAt chain_at(const Chain& chain, double bar_height_m) {
  const double leader_end_m = bar_height_m - chain.attachment_below_bar_m;
  const Lifted leader = lifted(leader_end_m, chain.leader_length_m);
  const Lifted links = lifted(leader_end_m - chain.leader_length_m, chain.free_length_m);

  const double runs = chain.strands * (chain.doubled ? 2.0 : 1.0);
  const double links_kg_per_m = runs * chain.mass_kg_per_m;
  const double leader_kg_per_m = chain.strands * chain.leader_kg_per_m;
  return {
      .hanging_kg = links_kg_per_m * links.length_m + leader_kg_per_m * leader.length_m,
      .picked_up_kg_per_m =
          (links.piling ? links_kg_per_m : 0.0) + (leader.piling ? leader_kg_per_m : 0.0),
      .potential_kg_m = links_kg_per_m * links.integral_m2 + leader_kg_per_m * leader.integral_m2,
      .hanging_sigma_kg = runs * chain.mass_sigma_kg_per_m * links.length_m};
}

}  // namespace kinetics
