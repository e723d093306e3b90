#pragma once

#include <string>
#include <vector>

#include "libkinetics/training/compare.h"

/// Comparisons for a terminal, a spreadsheet and other programs, and as a picture.

namespace kinetics {

/// A comparison, and the sessions of its later span each against the one before.
struct CompareReport {
  Comparison main;
  std::vector<Comparison> sessions;  ///< may be empty
};

/// The team in a sentence, one row a lifter, the sessions of the later span, what repeats how well.
/// Plain text, UTF-8, no line wider than kTableColumns.
[[nodiscard]] std::string to_table(const CompareReport& report);

/// One row a lifter and one for the team: before, after, difference with the ends of its 95 %
/// interval, the word. RFC 4180.
[[nodiscard]] std::string to_csv(const CompareReport& report);

/// One object: format, schema_version, spans, team, lifters, sessions, scatter, notes.
[[nodiscard]] std::string to_json(const CompareReport& report);

/// One page: above, every lifter's and the team's difference with its interval and the word; below,
/// each session's velocity brought to the compared load. Self-contained SVG; colour is never alone.
[[nodiscard]] std::string to_svg(const CompareReport& report);

}  // namespace kinetics
