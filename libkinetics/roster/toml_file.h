#pragma once

#include <string>

#include <toml++/toml.h>

/// A text file in TOML, whole. Internal to the room.

namespace kinetics::roster_detail {

/// Its text; `kind` is what the file should be, "roster". Errors: Error{kUnreadable}.
[[nodiscard]] std::string whole_toml_file(const std::string& path, const std::string& kind);

/// Throws Error{kUnreadable} naming the line when it is not TOML; `name` stands for the file.
[[nodiscard]] toml::table parsed_toml(const std::string& text, const std::string& name);

}  // namespace kinetics::roster_detail
