#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics logbook check|index|list|export|import`: the folder that all sessions are kept in.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_logbook_command(CLI::App& app);

}  // namespace kinetics::cli
