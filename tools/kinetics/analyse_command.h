#pragma once

#include <functional>

#include <CLI/App.hpp>

/// `kinetics analyse CLIP`: a side-on clip in, every rep out.

namespace kinetics::cli {

/// Adds the command to `app` and returns what runs it after a successful parse.
[[nodiscard]] std::function<void()> add_analyse_command(CLI::App& app);

}  // namespace kinetics::cli
