#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/history/lifted_set.h"
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
/// The same with at most about `most_samples` evenly chosen samples, for a page that draws them;
/// 0 leaves them all out.
[[nodiscard]] std::string to_json(const Session& session, std::size_t most_samples);

/// The disc in every picture, as columns of equal length: frame, t_s, sighting ("seen", "coasted",
/// "lost"), x_px, y_px, half_width_px, half_height_px, tilt. Pixels of the displayed picture before
/// the pixel aspect is applied.
[[nodiscard]] std::string disc_to_json(const Session& session);

/// Remembered sets, one object each under "sets", and "notes".
[[nodiscard]] std::string to_json(const std::vector<LiftedSet>& sets, const Notes& notes);

}  // namespace kinetics
