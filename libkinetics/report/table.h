#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The set table for a terminal.

namespace kinetics {

inline constexpr int kTableColumns = 80;

/// One row a rep; below it every set in a sentence, what was not measured and why, the notes and
/// the usual cautions. Plain text, UTF-8, no line wider than kTableColumns. Half the width of each
/// 95 % interval stands behind its number.
[[nodiscard]] std::string to_table(const Session& session);

}  // namespace kinetics
