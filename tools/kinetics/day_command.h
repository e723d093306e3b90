#pragma once

#include <optional>
#include <string>
#include <vector>

#include <CLI/App.hpp>

#include "libkinetics/session/session.h"
#include "tools/kinetics/sheet_choice.h"

/// The part of `kinetics analyse` that takes a whole day: a folder, or one recording of many sets.

namespace kinetics::cli {

/// As typed.
struct DayArguments {
  std::vector<std::string> assign;
  std::optional<int> jobs;
  std::optional<std::string> part;
  std::optional<std::string> filled;
  std::optional<std::string> report;  ///< of the day; the option is that of a single set
};

void add_day_options(CLI::App& command, DayArguments& arguments);

/// Whether the input is a day: with a sheet, a folder; with a logbook too, a recording when the
/// sheet has several rows, names no clips, and none is chosen by --row.
[[nodiscard]] bool is_a_day(const std::string& input, const SheetChoice& sheet, bool has_logbook);

/// `logbook` is where everything goes.
///
/// Errors  as analyse_day; Error{kUsage} without a logbook.
void analyse_whole_day(const std::string& input,
                       const SheetChoice& sheet,
                       const std::optional<std::string>& logbook,
                       const AnalysisOptions& options,
                       const DayArguments& arguments);

/// Throws Error{kUsage} naming an option that goes with a day only.
void refuse_day_options(const DayArguments& arguments);

}  // namespace kinetics::cli
