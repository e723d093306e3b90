#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// One row a rep, for a spreadsheet.

namespace kinetics {

/// Columns   set,rep,start_s,end_s, then mean_velocity_mps, peak_velocity_mps and rom_m, each with
///           the ends of its 95 % interval (…_lo_…, …_hi_…); then what else was measured in the
///           same three columns a quantity; kind, not_measured and flags last.
/// Units     in each column's name; velocity_loss is a share from 0 to 1. Times are real seconds
///           from the clip's first frame.
/// Missing   a number that was not measured is an empty cell, and not_measured says why.
/// Format    RFC 4180: comma, CRLF, a header line; always a decimal point. Several flags in one
///           cell are parted by a space.
[[nodiscard]] std::string to_csv(const Session& session);

}  // namespace kinetics
