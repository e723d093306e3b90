#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics show SESSION`: a stored session printed again.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_show_command(CLI::App& app);

}  // namespace kinetics::cli
