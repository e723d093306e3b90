#pragma once

#include <cstddef>
#include <string>

#include "libkinetics/session/session.h"

/// The two halves of the plot as elements of a page. Private to the report.

namespace kinetics::svg {

struct PlotParts {
  /// Height, velocity and mean velocities over time, with their key; without the plot's head and
  /// its caution. Empty of a session without motion.
  std::string times;
  /// Each rise over its height; empty when no rep was measured.
  std::string rises;
};

/// `rises_a_row` charts stand beside each other, each as wide as half of `times`.
[[nodiscard]] PlotParts plot_parts(const Session& session, std::size_t rises_a_row);

/// For the page's style sheet, and an invisible element with the patterns that the styles name.
[[nodiscard]] std::string plot_style();
[[nodiscard]] std::string plot_patterns();

}  // namespace kinetics::svg
