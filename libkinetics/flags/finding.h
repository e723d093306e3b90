#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/flags/certainty.h"

/// Something about a rep that a coach should look at, with what speaks for it.

namespace kinetics {

enum class FindingKind {
  kSlowed,         ///< lost more speed against the set's fastest rep than the limit
  kBelowExpected,  ///< slower than this lifter is expected to be at this load
  kTooHeavy,       ///< slower than the coach's band of velocities
  kTooLight,       ///< faster than the band: it flies, and asks for little force
  kHighBottom,     ///< turned round above the box or the usual depth
  kUnevenPause,    ///< paused longer or shorter than the set's other reps
  kNotMeasured,    ///< the rise could not be measured
};

struct Finding {
  int set = 1;
  int rep = 1;
  FindingKind kind = FindingKind::kSlowed;
  Certainty certainty = Certainty::kCertain;
  std::string evidence;  ///< measured value with its interval, what it is held against, the limit
  bool operator==(const Finding&) const = default;
};

using Findings = std::vector<Finding>;

/// One word or two for a table or a file: "slowed", "below-expected", "too-heavy", "too-light",
/// "high-bottom", "uneven-pause", "not-measured".
[[nodiscard]] std::string_view in_words(FindingKind kind);

/// The same as a flag beside a rep: "maybe-" stands in front unless it is certain.
[[nodiscard]] std::string flag_word(const Finding& finding);

/// The whole finding as a sentence: "Set 1 rep 4 is slowed (certain): EVIDENCE."
[[nodiscard]] std::string in_a_sentence(const Finding& finding);

}  // namespace kinetics
