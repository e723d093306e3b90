#pragma once

#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/loading/bar_load.h"

/// Whether a load can be: errors for what cannot, notes for what should make a coach look twice.

namespace kinetics {

/// Throws Error{kUsage} that names the item and the mend: a negative mass or one that is not a
/// number, lengths that look like centimetres, a table that does not ascend or pulls less when
/// longer, a polynomial that falls or is negative, both or neither of them, discs that do not add
/// up. `where` leads the message, for example "speedday.csv, line 4".
void check_load(const BarLoad& load, const std::string& where = {});

/// What whoever hangs this load should read first: collars, chains, bands, and that the venue's and
/// the federation's rules come before anything printed here (common practice, no source).
[[nodiscard]] Notes handling_cautions(const BarLoad& load);

/// Limits the coach states; zero: not stated.
struct LoadLimits {
  double rack_kg = 0.0;  ///< what rack, box or safety bars are stated to hold
};

/// What to tell of a load over one lift: more at the top than a stated limit, a band stretched
/// over its own limit or beyond the readings behind it, a band that is slack at the bottom or all
/// the way, a chain that never leaves the floor or never reaches it, a bar held up by reverse
/// bands.
///
/// Errors    throws Error{kUsage} unless both heights are numbers and the top is above the bottom.
[[nodiscard]] Notes load_notes(const BarLoad& load,
                               double bottom_m,
                               double top_m,
                               const LoadLimits& limits = {});

}  // namespace kinetics
