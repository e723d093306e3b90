#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/kinematics/rep.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/session/session.h"

/// What was lifted, set by set: the part of a session that profiles, waves and comparisons over
/// weeks are made of.

namespace kinetics {

/// One rep, as remembered.
struct LiftedRep {
  int number = 1;  ///< within the set, from 1
  RepKind kind = RepKind::kFull;
  Measured mean_velocity_mps;
  Measured peak_velocity_mps;
  Measured propulsive_velocity_mps;
  Measured rom_m;
  Measured mean_force_n;  ///< not measured unless the load was known
  Measured mean_power_w;
  Measured work_j;
  Measured bottom_load_kg;  ///< straight weight that would weigh as much where the rise begins,
  Measured mean_load_kg;    ///< on average over its height,
  Measured top_load_kg;     ///< and where it ends
  Measured sticking_low_height;
  bool operator==(const LiftedRep&) const = default;
};

/// Every measured number of a rep that is remembered, for those who keep them. An index made with
/// another list is made anew.
inline constexpr std::array kRememberedNumbers{&LiftedRep::mean_velocity_mps,
                                               &LiftedRep::peak_velocity_mps,
                                               &LiftedRep::propulsive_velocity_mps,
                                               &LiftedRep::rom_m,
                                               &LiftedRep::mean_force_n,
                                               &LiftedRep::mean_power_w,
                                               &LiftedRep::work_j,
                                               &LiftedRep::bottom_load_kg,
                                               &LiftedRep::mean_load_kg,
                                               &LiftedRep::top_load_kg,
                                               &LiftedRep::sticking_low_height};

/// One set of one lifter.
struct LiftedSet {
  std::string session;  ///< the session file's name without its folder; empty when not stored
  std::string day;    ///< on which it was lifted, local, ISO 8601 ("2031-03-07"); empty: not known
  std::string start;  ///< time of day or place in the order, as the sheet wrote it
  std::string lifter;
  std::string lift;
  std::string bar;
  std::optional<double> box_height_m;
  std::string accommodating;    ///< chains and bands in words, "2 x heavy chain"; empty for none
  double stated_load_kg = 0.0;  ///< bar, discs and collars together
  MassUnit unit = MassUnit::kKilogram;
  int set = 1;  ///< as the sheet numbers it, else its place in the recording
  std::vector<LiftedRep> reps;
  bool operator==(const LiftedSet&) const = default;
};

/// The sets of a session that was analysed with a sheet; none when it does not say who lifted what.
/// Reps keep their order.
[[nodiscard]] std::vector<LiftedSet> lifted_sets(const Session& session);

/// The middle one of what the full reps' mean loads say, else the stated load: for putting sets of
/// one loading together.
[[nodiscard]] double usual_mean_load_kg(const LiftedSet& set);

}  // namespace kinetics
