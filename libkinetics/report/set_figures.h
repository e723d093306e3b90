#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/session/session.h"

/// One set in a line: what a sheet, a page and a terminal show of it.

namespace kinetics {

/// A flag with the reps that carry it.
struct SetFlag {
  std::string words;  ///< "maybe high bottom"
  std::vector<int> reps;
};

/// "maybe high bottom: reps 1, 3".
[[nodiscard]] std::string in_words(const SetFlag& flag);

struct SetFigures {
  int reps = 0;  ///< rises found, partial and failed ones among them
  /// Of full reps. The mean is that of those measured; not measured when one of them was not.
  Measured fastest_mps;
  Measured mean_mps;
  Measured last_mps;
  Measured loss;  ///< of the last full rep against the fastest, 0 to 1
  /// Straight weight that would weigh as much, mean over the full reps: their ranges differ little.
  Measured bottom_load_kg;
  Measured mean_load_kg;
  Measured top_load_kg;
  std::vector<SetFlag> flags;  ///< each kind once, in the order in which they first come
};

/// The figures of one set of a session.
///
/// Method  The standard error of a mean over reps is the mean of theirs, as if they shared all of
///         it: they share scale and view, so that it is too large rather than too small.
[[nodiscard]] SetFigures set_figures(const Session& session, int set = 1);

/// The unit in which a coach reads loads, as its name and what 1 kg is in it.
struct LoadUnit {
  std::string name = "kg";
  double a_kg = 1.0;
};
[[nodiscard]] LoadUnit load_unit(MassUnit unit);

}  // namespace kinetics
