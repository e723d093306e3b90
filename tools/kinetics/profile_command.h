#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics profile` and `kinetics zone`: what a logbook says of a lifter.

namespace kinetics::cli {

/// Each adds its command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_profile_command(CLI::App& app);
[[nodiscard]] std::function<void()> add_zone_command(CLI::App& app);

}  // namespace kinetics::cli
