#pragma once

#include <optional>
#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/roster/thresholds.h"
#include "libkinetics/session/session.h"

/// What `analyse` is told about the set besides the clip: sheet, roster and thresholds.

namespace kinetics::cli {

/// As typed; what is empty comes from the roster, or stays at its default.
struct SheetChoice {
  std::optional<std::string> sheet;
  std::optional<std::string> roster;
  std::optional<int> row;
  std::optional<double> slowed_loss;
  std::optional<double> below_expected_mps;
  std::optional<VelocityBand> zone;
  std::optional<double> high_bottom_m;
  std::optional<double> uneven_pause_s;
};

/// Puts thresholds that were typed into the options.
void use_typed(const SheetChoice& choice, AnalysisOptions& options);

/// Reads sheet and roster and puts load, heights, plan and thresholds into the options. What was
/// typed goes before what the roster says. `input` is the clip or log, which the sheet may name.
/// Returns what the coach should be told of them.
///
/// Errors  as read_roster, read_sheet, choose_row and plan_set; Error{kUsage} for --row without
///         --sheet.
[[nodiscard]] Notes use_sheet(const SheetChoice& choice,
                              const std::string& input,
                              AnalysisOptions& options);

}  // namespace kinetics::cli
