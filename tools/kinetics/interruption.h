#pragma once

#include <stdexcept>

/// Ctrl-C as an exception, so that every temporary file is removed on the way out.

namespace kinetics::cli {

struct Interrupted : std::runtime_error {
  Interrupted() : std::runtime_error("stopped before the end; nothing was written") {}
  using std::runtime_error::runtime_error;
};

/// From now on the first SIGINT, SIGTERM or SIGHUP is only remembered; a second one ends the
/// program at once.
void remember_interruptions();

/// Whether one was remembered.
[[nodiscard]] bool interrupted_once();

/// Throws Interrupted when one was remembered. Long steps call it through their progress.
void throw_if_interrupted();

}  // namespace kinetics::cli
