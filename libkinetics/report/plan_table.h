#pragma once

#include <string>

#include "libkinetics/loading/mass.h"
#include "libkinetics/training/next_loading.h"

/// The next loadings for a terminal, a spreadsheet and other programs.

namespace kinetics {

/// One row a lifter, then why each load was held, raised or lowered, the week's other work, the
/// rule and the usual cautions. Plain text, UTF-8, no line wider than kTableColumns.
[[nodiscard]] std::string to_table(const NextPlan& plan, MassUnit unit);

/// A session sheet as `kinetics analyse --sheet` reads it, one row a set with lifter, lift, bar,
/// box, load, chains, bands, set and reps, and columns besides: date, discs a side, expected
/// velocities and the move. RFC 4180: comma, CRLF.
[[nodiscard]] std::string to_csv(const NextPlan& plan, MassUnit unit);

/// One object: format, schema_version, days with their loadings, specials, accessories, rule,
/// notes. SI units in each name; measured numbers as {"value", "lo", "hi"} or null.
[[nodiscard]] std::string to_json(const NextPlan& plan);

}  // namespace kinetics
