#pragma once

#include <optional>
#include <vector>

#include "libkinetics/kinematics/reps.h"
#include "libkinetics/session/session.h"
#include "libkinetics/sheet/plan_set.h"

/// What a coach puts right in a session, measured again without the clip.
///
/// Every function gives a new session; the old one stays. `motion` is that of full_motion(). Reps
/// that were not touched keep their numbers, but for what they are compared with (velocity loss,
/// kind, flags, findings). The error is Error{kUsage}, naming the rep by its time or number.

namespace kinetics {

/// A rep as the table numbers it.
struct RepPlace {
  int set = 1;
  int rep = 1;
};

/// Where the session's reps stand.
[[nodiscard]] std::vector<RepSpan> spans_of(const Session& session);

[[nodiscard]] Session with_rep_moved(const Session& session,
                                     const Motion& motion,
                                     RepPlace place,
                                     RepSpan to);

/// The first part ends where the bar was highest before `at_s`, the second begins where it was
/// lowest after: what lies between was not part of either rise.
[[nodiscard]] Session with_rep_split(const Session& session,
                                     const Motion& motion,
                                     RepPlace place,
                                     double at_s);

/// With the next rep of the same set.
[[nodiscard]] Session with_reps_merged(const Session& session,
                                       const Motion& motion,
                                       RepPlace place);

[[nodiscard]] Session without_rep(const Session& session, const Motion& motion, RepPlace place);

[[nodiscard]] Session with_rep_added(const Session& session, const Motion& motion, RepSpan where);

/// The clip's scale corrected: every length of the path in proportion to the disc. Not for sessions
/// that were joined with a log (Error{kUsage}): there the scale decides how the two fit together.
[[nodiscard]] Session with_disc_diameter(const Session& session, double disc_diameter_m);

/// The coach's own reps brought into a fresh measurement of the same recording, by their times:
/// those he placed (moved, split, joined, added) stand where he placed them in place of what was
/// found there, and those he left out stay out.
struct KeptReps {
  Session session;
  int placed = 0;
  int left_out = 0;
  std::vector<RepSpan> lost;  ///< placed where the fresh motion cannot have a rep
};
[[nodiscard]] KeptReps with_kept_reps(const Session& fresh,
                                      const Motion& fresh_motion,
                                      const Session& corrected,
                                      const Motion& corrected_motion);

/// Another lifter, lift or load; nothing when it is not known after all. Notes that came from the
/// old plan (`old_notes`) go, the new plan's come.
[[nodiscard]] Session with_set(const Session& session,
                               const Motion& motion,
                               const std::optional<PlannedSet>& planned,
                               const Notes& old_notes = {});

}  // namespace kinetics
