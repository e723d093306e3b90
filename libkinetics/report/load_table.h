#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The second table beneath the velocities: load, force, power and sticking region. Internal to the
/// room.

namespace kinetics {

/// Empty when nothing is known of the load and no rep had a sticking region. Ends with a newline.
[[nodiscard]] std::string load_table(const Session& session);

/// Who lifted what with which load, for the head of the page; empty without a plan or a load.
[[nodiscard]] std::string set_in_words(const Session& session);

}  // namespace kinetics
