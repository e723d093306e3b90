#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics compare LOGBOOK`: whether the bar moves faster than before at the same load.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_compare_command(CLI::App& app);

}  // namespace kinetics::cli
