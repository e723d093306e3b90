#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/measured.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/lifted_session.h"

/// From measured velocities to the next load: hold, raise or lower, and why.

namespace kinetics {

enum class Move { kHold, kRaise, kLower };

/// "hold", "raise", "lower".
[[nodiscard]] std::string_view in_words(Move move);

/// A session that was lifted, beside what the wave asked for.
struct DoneSession {
  LiftedSession lifted;
  Measured expected_mps;             ///< at its load
  std::optional<VelocityBand> zone;  ///< the coach's, for this lifter and lift
  double offset_share = 0.0;  ///< lifted load less the wave's own, in parts of the best single
};

struct Adjustment {
  Move move = Move::kHold;
  double offset_share = 0.0;  ///< next load less the wave's own, in parts of the best single
  std::string why;            ///< a sentence or two, with the numbers
};

/// How the load is moved. Sessions of this lifter, lift and wave, oldest first; the last ones
/// count.
///
/// Each session is held against its expectation, else against the coach's zone. The difference
/// counts when it is beyond raise_above_mps or lower_below_mps with certainty: measurement, error
/// of the expectation and the usual change from day to day explain it in less than 1 of 20 cases.
///
///   lower  a rep failed; or the last session was certainly too slow; or each of the last
///          sessions_to_raise was too slow, and certainly so together.
///   raise  each of the last sessions_to_raise sessions was faster than expected by more than
///          raise_above_mps, their mean with certainty; and none had a rep that was partial, a set
///          that slowed down beyond the limit, too few measured reps, or a measurement that leaves
///          it open. Never before a meet's taper.
///   hold   everything else: above all when a number is uncertain or was not measured.
///
/// One move is a step; what earlier moves of this wave added up to is kept by `hold`, within the
/// rule's limits.
[[nodiscard]] Adjustment adjust(const std::vector<DoneSession>& done,
                                const AdjustRule& rule,
                                bool taper = false);

/// The rule in a few sentences, with its numbers, for printing beside the loads.
[[nodiscard]] std::string rule_in_words(const AdjustRule& rule);

}  // namespace kinetics
