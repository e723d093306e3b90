#pragma once

#include <string>

#include "libkinetics/core/note.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/reply.h"

/// Roster, plan and session sheets: texts that the coach keeps, shown with what they mean and what
/// is wrong in them.

namespace kinetics::workbench {

/// {"text", "revision", "error", "club"}; without a roster the text is empty.
[[nodiscard]] Json roster_json(const Folder& folder);

/// {"error", "club"} of a text that is not stored.
[[nodiscard]] Json checked_roster(const std::string& text);

/// Stores a roster that can be read. Throws kinetics::Error{kUnreadable} for one that cannot, and
/// Refusal 409 when `revision` is not that of the text it replaces.
void write_roster(const Folder& folder, const std::string& text, const Json& revision);

/// The same of the training plan: {"text", "revision", "error"}.
[[nodiscard]] Json plan_json(const Folder& folder);
[[nodiscard]] Json checked_plan(const std::string& text);
void write_plan(const Folder& folder, const std::string& text, const Json& revision);

[[nodiscard]] Json sheets_json(const Folder& folder);
[[nodiscard]] Json sheet_json(const Folder& folder, const std::string& name);
[[nodiscard]] Json checked_sheet(const Folder& folder,
                                 const std::string& name,
                                 const std::string& text);
void write_sheet(const Folder& folder,
                 const std::string& name,
                 const std::string& text,
                 const Json& revision);

/// The revision that a request says it read; null for a text that is new.
[[nodiscard]] Json revision_in(const Json& body);

/// {"kind", "text"}
[[nodiscard]] Json note_json(const Note& note);

/// An empty sheet from the roster. Refusal 409 when there is one of this name, or no roster.
void make_sheet(const Folder& folder, const std::string& name);

}  // namespace kinetics::workbench
