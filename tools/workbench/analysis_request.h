#pragma once

#include <string>

#include "libkinetics/session/session.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/jobs.h"
#include "tools/workbench/reply.h"

/// A request for an analysis, from JSON to the library's options, and the analysis itself.

namespace kinetics::workbench {

/// The default and range of every option that a page may set.
[[nodiscard]] Json option_ranges();

/// The options with those that the request names changed. Throws Refusal 400 for one that is not
/// known, of the wrong kind or out of range.
AnalysisOptions apply_options(const Json& request, AnalysisOptions options);

/// What an analysis is told, and what the coach should be told of it.
struct AnalysisPlan {
  AnalysisOptions options;
  Notes notes;
};

/// The day of the lifting that a request tells; empty when it tells none. Refusal 400 for no day.
[[nodiscard]] std::string day_of(const Json& body);

/// Everything that would be refused later is refused now, before the job is taken on.
[[nodiscard]] JobRequest analysis_of(const Folder& folder, const Json& body);

/// Options, set and the club's thresholds together. Errors: as planned_set.
[[nodiscard]] AnalysisPlan plan_of(const Folder& folder, const JobRequest& request);

/// Analyses the request's clip, log or both. Errors: as analyse_clip, analyse_log and
/// analyse_clip_with_log; JobStopped.
[[nodiscard]] Session analyse(const Folder& folder,
                              const JobRequest& request,
                              const AnalysisPlan& plan,
                              const JobTalk& talk);

}  // namespace kinetics::workbench
