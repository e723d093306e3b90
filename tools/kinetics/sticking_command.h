#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics sticking SESSION...`: where stored sets slow, and how bar and box move that place.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_sticking_command(CLI::App& app);

}  // namespace kinetics::cli
