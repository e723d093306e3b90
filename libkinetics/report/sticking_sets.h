#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/loading/mass.h"
#include "libkinetics/report/sticking_map.h"
#include "libkinetics/session/session.h"

/// From stored sessions to sticking maps: one map a lifter and lift, one kind a bar, box and set of
/// chains and bands.
///
///     std::vector<MappedSet> sets;
///     for (const auto& file : files) sets.push_back(mapped_set(load_session(file), file));
///     std::string svg = to_svg(sticking_maps(sets));

namespace kinetics {

/// What a map needs of one session.
struct MappedSet {
  std::string lifter;
  std::string lift;
  std::string gear;      ///< "straight bar, box 45 cm, 2 x heavy chain"
  double load_kg = 0.0;  ///< bar, discs and collars, as stated
  MassUnit unit = MassUnit::kKilogram;
  std::vector<MapRise> rises;  ///< of full reps
  int left_out = 0;            ///< reps that were not measured or not full
};

/// Errors  Error{kUnreadable} naming `file` when the session was analysed without a sheet, so that
///         neither lifter nor lift is known.
[[nodiscard]] MappedSet mapped_set(const Session& session, const std::string& file);

/// Lifters, lifts and kinds in the order in which they first come; names as people type them are
/// told apart as in the roster. The first kind is what others are compared with. Loads stand in
/// `unit`; without one in that of each kind's first set.
[[nodiscard]] std::vector<StickingMap> sticking_maps(const std::vector<MappedSet>& sets,
                                                     std::optional<MassUnit> unit = std::nullopt);

}  // namespace kinetics
