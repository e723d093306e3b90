#pragma once

#include <string>

#include "libkinetics/roster/thresholds.h"
#include "libkinetics/session/options.h"
#include "libkinetics/tracking/track_bar.h"

/// Turns what was typed into numbers. Every function throws Error{kUsage} that names the option,
/// what was typed and what can be meant.

namespace kinetics::cli {

/// A plain number with the option's own unit, named in the message only.
[[nodiscard]] double parse_number(const std::string& option,
                                  const std::string& typed,
                                  const std::string& unit,
                                  Range range);

/// A length in m, from "450mm", "45cm", "0.45m", "17.7in", or a plain number of millimetres.
[[nodiscard]] double parse_length_m(const std::string& option,
                                    const std::string& typed,
                                    Range range_m);

/// "X,Y,T": pixels from the left, pixels from the top, seconds.
[[nodiscard]] DiscSeed parse_seed(const std::string& option, const std::string& typed);

/// A day as YYYY-MM-DD.
[[nodiscard]] std::string parse_day(const std::string& option, const std::string& typed);

/// "LOW,HIGH": two mean velocities in m/s, the lower first.
[[nodiscard]] VelocityBand parse_zone(const std::string& option, const std::string& typed);

}  // namespace kinetics::cli
