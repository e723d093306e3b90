#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics sheet new` and `kinetics sheet check`: the sheet that the coach fills in.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_sheet_command(CLI::App& app);

}  // namespace kinetics::cli
