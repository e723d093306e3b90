#pragma once

#include <filesystem>
#include <vector>

#include "tools/workbench/folder.h"
#include "tools/workbench/jobs.h"

/// The invented club's day, to try the workbench with.

namespace kinetics::workbench {

/// Where the samples lie: beside the installed program, or in the source they were built from;
/// empty when neither is there.
[[nodiscard]] std::filesystem::path samples_folder();

/// Copies roster, sheet, clips and logs into the logbook and gives the analyses to be made. What is
/// there already is left as it is.
///
/// Errors  kinetics::Error{kInternal} when the disk fills.
[[nodiscard]] std::vector<JobRequest> copy_sample_day(const std::filesystem::path& samples,
                                                      const Folder& folder);

}  // namespace kinetics::workbench
