#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tools/workbench/folder.h"
#include "tools/workbench/jobs.h"
#include "tools/workbench/reply.h"
#include "tools/workbench/session_store.h"

/// What the coach puts right in a session, from a request to the library and into the logbook.

namespace kinetics::workbench {

/// A correction worked out: the new numbers and what changed, in words.
struct Corrected {
  Session session;
  std::vector<Change> changes;
};

/// The request's correction of a session. Nothing is stored. Errors: Refusal 400 for a kind that is
/// not known; as correct.h.
[[nodiscard]] Corrected corrected(const Folder& folder,
                                  SessionStore& store,
                                  const std::string& id,
                                  const Json& request);

/// The job that works the correction out, for those that need the recording again (another seed,
/// and another disc where a log was joined); nothing for all others.
[[nodiscard]] std::optional<JobRequest> job_for(SessionStore& store,
                                                const std::string& id,
                                                const Json& request);

/// Such a job's work: the recording analysed again with the old session's options but for what the
/// job says. Nothing is stored.
[[nodiscard]] Corrected analysed_again(const Folder& folder,
                                       SessionStore& store,
                                       const JobRequest& request,
                                       const JobTalk& talk);

/// `fresh` with the reps that the coach placed or left out in `corrected`, by their times, and what
/// to say of it: nothing when there were none.
[[nodiscard]] Corrected with_kept_corrections(SessionStore& store,
                                              const Session& fresh,
                                              const Motion& fresh_motion,
                                              const std::string& corrected_id);

/// The session as it was before its newest correction that still counts. Throws Refusal 409 when
/// there is none.
[[nodiscard]] Corrected taken_back(SessionStore& store, const std::string& id);

/// [{"number", "at", "kind", "words", "undone", "of"}], oldest first.
[[nodiscard]] Json history_of(const Session& session);
[[nodiscard]] bool can_undo(const Session& session);

}  // namespace kinetics::workbench
