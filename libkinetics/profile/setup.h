#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/history/lifted_set.h"
#include "libkinetics/loading/bar_load.h"
#include "libkinetics/loading/plan_discs.h"
#include "libkinetics/profile/points.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/set_plan.h"

/// What hangs on the bar besides discs, and from where to where it is lifted: turns a load on the
/// profile's axis into one that a crew can hang.

namespace kinetics {

struct LoadSetup {
  std::string accommodating;  ///< chains and bands in words; empty for straight weight
  BarLoad empty;              ///< bar, collars, chains and bands: no discs
  double bottom_m = 0.0;      ///< bar's sleeves above the floor; both zero with straight weight
  double top_m = 0.0;
  std::vector<DiscPairs> discs;   ///< that the club owns; empty: not known
  std::vector<LoadLimit> limits;  ///< of bar and racks
};

/// "2 x heavy chain + 2 x light band" hung on the lifter's bar. Empty words: straight weight.
///
/// `usual_rise_m` completes the roster's heights when only one of bottom and lockout is given.
///
/// Errors  Error{kUsage} naming the words: gear the roster does not hold (with the nearest), an odd
///         number, or heights that are not known.
[[nodiscard]] LoadSetup make_setup(const Roster& roster,
                                   const LiftVariant& variant,
                                   const std::string& words = {},
                                   std::optional<double> usual_rise_m = std::nullopt);

/// The middle rise of the variant's full reps; nothing when none was measured.
[[nodiscard]] std::optional<double> usual_rise_m(const std::vector<LiftedSet>& sets,
                                                 const LiftVariant& variant);

struct Profile;

/// Straight weight, and every set of chains and bands that the profile's sets were lifted with.
/// Those the roster no longer knows are noted and left out.
[[nodiscard]] std::vector<LoadSetup> usual_setups(const Roster& roster,
                                                  const Profile& profile,
                                                  const std::vector<LiftedSet>& sets,
                                                  Notes& notes);

/// A load that can be hung with a set-up.
struct HungLoad {
  double bar_kg = 0.0;  ///< bar, discs and collars
  double bottom_kg = 0.0;
  double mean_kg = 0.0;  ///< straight weight that weighs as much on average over the way
  double top_kg = 0.0;
  std::optional<DiscStack> side;  ///< discs of one side; empty: not known, or it cannot be hung
};

enum class HangTo { kNearest, kAtLeast, kAtMost };

/// The bar with as many discs as weigh `mean_kg` on average. Nothing when the empty bar weighs
/// more, or no choice of the club's discs does.
[[nodiscard]] std::optional<HungLoad> hang(const LoadSetup& setup, double mean_kg, HangTo to);

/// What chains and bands add to the mean load.
[[nodiscard]] double added_mean_kg(const LoadSetup& setup);

}  // namespace kinetics
