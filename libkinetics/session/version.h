#pragma once

#include <string>
#include <string_view>

/// What this build of kinetics is, for provenance and --version.

namespace kinetics {

/// The project's own version, for example "0.1.0".
[[nodiscard]] std::string_view version();

/// Names and versions of the libraries that can change a number, in one line.
[[nodiscard]] std::string library_versions();

}  // namespace kinetics
