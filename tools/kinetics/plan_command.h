#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics plan LOGBOOK`: what goes on the bar next time, and why.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_plan_command(CLI::App& app);

}  // namespace kinetics::cli
