#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The second table beneath the velocities: load, force, power and sticking region. Internal to the
/// room.

namespace kinetics {

/// Empty when nothing is known of the load and no rep had a sticking region. Ends with a newline.
[[nodiscard]] std::string load_table(const Session& session);

/// Where a rep's bar was slowest within a sticking region: "48 %, 35-62", "none", "cannot tell".
[[nodiscard]] std::string slow_point_in_words(const Rep& rep);

/// Who lifted what with which load, for the head of the page; empty without a plan or a load.
[[nodiscard]] std::string set_in_words(const Session& session);

}  // namespace kinetics
