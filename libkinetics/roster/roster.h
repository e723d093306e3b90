#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/loading/bar_load.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/loading/plan_discs.h"
#include "libkinetics/roster/thresholds.h"

/// Who lifts, and with what: the lifters, the gear of the gym and the coach's thresholds, from a
/// text file (TOML) that is kept by hand.
///
/// Example, with every kind of entry. Masses are written `mass_kg` or `mass_lb`; lengths end in
/// _m, _cm, _mm or _in. What is left out is not known, and nothing is made up for it.
///
///   club = "Northgate Barbell"
///   unit = "kg"                     # or "lb": heads the load of new sheets
///
///   [thresholds]                    # thresholds.h tells the defaults
///   slowed_loss_percent = 20
///   below_expected_mps = 0.06
///   zone_mps = [0.70, 0.95]
///   high_bottom_cm = 2
///   uneven_pause_s = 0.3
///
///   [[bar]]                         # the first one is meant when a sheet names none
///   name = "straight bar"
///   mass_kg = 20
///   limit_kg = 400                  # most that may be on it, bar included
///   [[bar]]
///   name = "cambered bar"
///   mass_kg = 25
///   sleeves_raised_cm = -18         # its sleeves sit lower than a straight bar's would
///
///   [collars]
///   mass_kg = 2.5                   # of one
///   [[disc]]
///   mass_kg = 25
///   count = 8                       # all of them
///
///   [[chain]]
///   name = "long chain"
///   mass_kg_per_m = 3.8
///   length_m = 1.6                  # of one strand as it hangs
///   leader_length_cm = 40           # light rope or strap above it
///   [[band]]
///   name = "light band"
///   stretched_cm = [104, 150, 200]  # measured length of one, anchor to bar …
///   tension_kg = [0, 12, 19]        # … and what a scale showed
///   anchor_height_cm = 10           # above the bar it pulls up: a reverse band
///   limit_length_cm = 220           # never to be stretched beyond it
///   wrapped_length_cm = 12          # used up by the choke at the anchor and round the bar
///   [[rack]]
///   name = "rack one"
///   limit_kg = 450
///
///   [[lifter]]
///   name = "Odalys Brandt"
///   [[lifter.lift]]
///   lift = "box squat"
///   bar = "cambered bar"            # only with this bar; else with any
///   box_height_cm = 38              # only with this box
///   best_single_kg = 180
///   best_single_mps = 0.26          # mean velocity of that single …
///   best_single_sigma_mps = 0.03    # … and how well it is known, one standard error
///   lockout_height_cm = 144         # bar's centre above the floor, standing …
///   bottom_height_cm = 94           # … and where a full rep turns round
///   height_sigma_cm = 0.5           # how well both are known, one standard error
///   zone_mps = [0.65, 0.85]         # in place of the club's
///   expected = [                    # mean velocities at loads, straight weight
///     { load_kg = 90, velocity_mps = 0.82, sigma_mps = 0.02 },
///     { load_kg = 120, velocity_mps = 0.62 },
///   ]

namespace kinetics {

/// Mean velocity this lifter usually shows at a load.
struct ExpectedVelocity {
  double load_kg = 0.0;  ///< bar, discs and collars; with chains or bands the straight equivalent
  double velocity_mps = 0.0;
  double sigma_mps = 0.0;  ///< one standard error
  bool operator==(const ExpectedVelocity&) const = default;
};

/// One lifter's lift, or a variant of it.
struct LifterLift {
  std::string lift;
  std::optional<std::string> bar;      ///< only with this bar
  std::optional<double> box_height_m;  ///< only with this box
  std::optional<double> best_single_kg;
  std::optional<double> best_single_mps;  ///< mean velocity of it
  /// One standard error: what it repeats by (deadlift 0.029 m/s: L. Ruf, C. Chéry, K.-L. Taylor, J
  /// Strength Cond Res 2018; 32:681-689).
  double best_single_sigma_mps = 0.03;
  std::optional<double> lockout_height_m;  ///< bar's centre above the floor
  std::optional<double> bottom_height_m;   ///< where a full rep turns round
  double height_sigma_m = 0.005;           ///< of both: a tape held to the bar
  std::optional<VelocityBand> zone;        ///< in place of the club's
  std::vector<ExpectedVelocity> expected;  ///< by load
  int line = 0;                            ///< of the file
};

struct Lifter {
  std::string name;
  std::vector<LifterLift> lifts;
};

struct BarGear {
  std::string name;
  double mass_kg = 20.0;
  double sleeves_raised_m = 0.0;   ///< above where a straight bar's would be; negative below
  std::optional<double> limit_kg;  ///< most that may be on it, itself included
};

struct DiscGear {
  double mass_kg = 0.0;
  int count = 0;                        ///< all of them
  MassUnit unit = MassUnit::kKilogram;  ///< in which it is stamped
};

struct ChainGear {
  Chain chain;               ///< one strand
  std::optional<int> count;  ///< strands owned
};

struct BandGear {
  Band band;  ///< one
  std::optional<int> count;
};

struct Rack {
  std::string name;
  double limit_kg = 0.0;
};

struct Gear {
  std::vector<BarGear> bars;
  std::vector<DiscGear> discs;
  double collar_kg = 0.0;  ///< one
  std::vector<ChainGear> chains;
  std::vector<BandGear> bands;
  std::vector<Rack> racks;
};

struct Roster {
  std::string file;  ///< for messages
  std::string club;
  MassUnit unit = MassUnit::kKilogram;
  Thresholds thresholds;
  Gear gear;
  std::vector<Lifter> lifters;
};

/// Reads a roster.
///
/// Errors  Error{kUnreadable} naming file, line, what is wrong and the mend: not TOML, a key that
///         is not known (with the nearest that is), a missing or doubled unit, a value of the wrong
///         kind or out of range, a name that stands twice or that nothing bears.
[[nodiscard]] Roster read_roster(const std::string& path);

/// The same from text; `name` stands for the file in messages.
[[nodiscard]] Roster parse_roster(const std::string& text, const std::string& name);

/// The club's discs as pairs, one a side, as stamped. An odd one is left on the tree.
[[nodiscard]] std::vector<DiscPairs> disc_pairs(const Gear& gear);

}  // namespace kinetics
