#pragma once

#include <string>

#include "libkinetics/core/progress.h"
#include "libkinetics/session/session.h"

/// The clip again with the path and the current velocity drawn on it.

namespace kinetics {

void write_overlay(const Session& session,
                   const std::string& clip_path,
                   const std::string& out_path,
                   const Progress& progress = {});

}  // namespace kinetics
