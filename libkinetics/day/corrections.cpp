#include "libkinetics/day/corrections.h"

#include <algorithm>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::day_detail {
namespace {

[[noreturn]] void refuse(const Correction& correction, std::string what, std::string mend) {
  throw Error(ErrorCode::kUsage,
              fmt::format("correction of set {}", correction.set + 1),
              std::move(what),
              std::move(mend));
}

}  // namespace

Fixed look_up(const std::vector<Correction>& corrections,
              std::size_t sets,
              const std::vector<DayRow>& rows) {
  Fixed out{std::vector<bool>(sets),
            std::vector<std::optional<std::size_t>>(sets),
            std::vector<bool>(rows.size())};
  for (const Correction& correction : corrections) {
    if (correction.set >= sets) {
      refuse(correction,
             fmt::format("the recording has {} sets", sets),
             "Give the number of a set that was found");
    }
    if (out.set[correction.set]) refuse(correction, "it is corrected twice", "Keep one");
    out.set[correction.set] = true;
    if (!correction.row) continue;
    const auto found = std::find_if(
        rows.begin(), rows.end(), [&](const DayRow& row) { return row.row == *correction.row; });
    if (found == rows.end()) {
      refuse(correction,
             fmt::format("the sheet has no set in row {}", *correction.row),
             "Give a row as the spreadsheet numbers it");
    }
    const auto row = static_cast<std::size_t>(found - rows.begin());
    if (out.row[row]) {
      refuse(correction,
             fmt::format("row {} is given to another set too", *correction.row),
             "Give each row to one set");
    }
    out.row[row] = true;
    out.row_of[correction.set] = row;
  }
  return out;
}

}  // namespace kinetics::day_detail
