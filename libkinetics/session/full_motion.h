#pragma once

#include <string>

#include "libkinetics/session/session.h"

/// The motion of a stored session with all that the smoother knew of it.

namespace kinetics {

/// A session file keeps the motion's samples, not how their errors hang together. This estimates
/// the motion again: from the stored path, and from the log when there was one. `log_path` is that
/// log, empty when it is not at hand. No picture is decoded.
///
/// Returns  the motion as it was when the session was analysed; the stored samples alone, whose
///          errors then count as independent and make wider intervals, when the log is missing, is
///          not the one that was read (SHA-256), or was read together with a second file.
/// Cost     that of estimate_motion, read_log and fuse.
[[nodiscard]] Motion full_motion(const Session& session, const std::string& log_path = {});

}  // namespace kinetics
