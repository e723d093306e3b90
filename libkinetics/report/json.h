#pragma once

#include <string>
#include <vector>

#include "libkinetics/logbook/set_csv.h"
#include "libkinetics/session/session.h"

/// The session for other programs.

namespace kinetics {

/// One object: format, schema_version, provenance, clip, options, notes, reps, samples.
///
/// Names     as in the CSV and the logbook file, unit at the end. A rep's numbers are objects
///           {"value", "lo", "hi"}, lo and hi the ends of the 95 % interval, or
///           {"not_measured": "disc hidden"}. An option left to the program is null.
/// samples   the smoothed motion as columns of equal length, one entry a frame: t_s, height_m,
///           velocity_mps, velocity_sigma_mps, measured.
[[nodiscard]] std::string to_json(const Session& session);

/// Several sessions of a logbook, each as above and with the name of its `file`, without samples:
/// one object with format, schema_version and sessions.
[[nodiscard]] std::string to_json(const std::vector<NamedSession>& sessions);

}  // namespace kinetics
