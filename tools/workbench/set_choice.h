#pragma once

#include <optional>
#include <string>

#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/plan_set.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/reply.h"

/// Who lifted what: a row of a sheet, or typed into the page.

namespace kinetics::workbench {

/// The logbook's roster; empty when there is none. Throws as read_roster.
[[nodiscard]] std::optional<Roster> roster_in(const Folder& folder);

/// What a request's "set" means: nothing for null. `recording` is the clip or log, which the sheet
/// may name.
///
/// Errors  as read_sheet, choose_row and plan_set; what was typed is held to the same rules as a
///         sheet's cells, and named as such.
[[nodiscard]] std::optional<PlannedSet> planned_set(const Folder& folder,
                                                    const Json& set,
                                                    const std::string& recording);

}  // namespace kinetics::workbench
