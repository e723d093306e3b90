#pragma once

#include <functional>

#include <CLI/CLI.hpp>

/// `kinetics serve`: the workbench in the browser.

namespace kinetics::cli {

/// Adds the subcommand. The function does its work once the arguments are parsed.
[[nodiscard]] std::function<void()> add_serve_command(CLI::App& app);

}  // namespace kinetics::cli
