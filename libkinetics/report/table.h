#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/session/session.h"

/// The set table for a terminal.

namespace kinetics {

inline constexpr int kTableColumns = 80;

/// One row a rep; below it every set in a sentence, what was not measured and why, the notes and
/// the usual cautions. Plain text, UTF-8, no line wider than kTableColumns. Half the width of each
/// 95 % interval stands behind its number.
[[nodiscard]] std::string to_table(const Session& session);

/// The cells of one rep's row, as the table shows them, for a page that draws its own.
struct TableRow {
  int set = 1;
  int rep = 1;
  std::string start;          ///< s
  std::string mean_velocity;  ///< m/s, "0.666 ± 0.016" or "not measured"
  std::string peak_velocity;
  std::string range;               ///< cm
  std::string loss;                ///< percent, "-" without one
  std::vector<std::string> flags;  ///< "maybe below expected"
};
[[nodiscard]] std::vector<TableRow> table_rows(const Session& session);

/// "Set 1: 4 reps, fastest 0.666 m/s (rep 1), last ...", one sentence a set.
[[nodiscard]] std::vector<std::string> set_sentences(const std::vector<Rep>& reps);

/// The usual cautions, which stand below every table.
[[nodiscard]] std::string_view usual_cautions();

}  // namespace kinetics
