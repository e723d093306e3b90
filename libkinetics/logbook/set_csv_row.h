#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/error.h"
#include "libkinetics/sheet/csv_table.h"

/// The cells of set_csv.h by heading. Private to the logbook.

namespace kinetics {

/// Headings of what is said of a set, and of a rep besides its quantities; as they are written.
inline constexpr std::string_view kSetHeadings[] = {"date",
                                                    "lifter",
                                                    "lift",
                                                    "bar",
                                                    "box_height_m",
                                                    "box_height_cm",
                                                    "box_height_in",
                                                    "load_kg",
                                                    "load_lb",
                                                    "chains",
                                                    "bands",
                                                    "set",
                                                    "start",
                                                    "planned_reps",
                                                    "best_single_kg",
                                                    "best_single_lb",
                                                    "notes",
                                                    "source",
                                                    "session"};
inline constexpr std::string_view kRepHeadings[] = {
    "rep", "kind", "start_s", "end_s", "bottom_height_m", "top_height_m", "not_measured"};

/// A table with its columns looked up.
struct SetTableText {
  std::string file;
  CsvTable table;
  std::map<std::string, std::size_t, std::less<>> columns;  ///< by heading
  std::vector<std::string> unknown;                         ///< headings that mean nothing here
};

/// Errors: as parse_set_csv, for headings.
[[nodiscard]] SetTableText find_columns(const std::string& text, const std::string& file);

/// One row of it.
class SetCsvRow {
 public:
  SetCsvRow(const SetTableText& text, std::size_t row) : text_(&text), row_(row) {}

  /// As a spreadsheet numbers it.
  [[nodiscard]] int number() const { return static_cast<int>(row_) + 1; }
  [[nodiscard]] bool is_blank() const;
  /// Cells beyond the headings come from a comma in a note, or a decimal comma, without quotes.
  void refuse_more_cells() const;
  /// Without spaces at its ends; empty also when there is no such column.
  [[nodiscard]] std::string cell(std::string_view heading) const;
  [[nodiscard]] std::string needed(std::string_view heading) const;
  /// A number within the range, or nothing for an empty cell.
  [[nodiscard]] std::optional<double> number(std::string_view heading,
                                             double least,
                                             double greatest) const;
  [[nodiscard]] std::optional<int> whole(std::string_view heading, int least, int greatest) const;

  /// Throws Error{kUnreadable} at a cell of this row.
  [[noreturn]] void refuse(std::string_view heading,
                           const std::string& what,
                           const std::string& mend) const;

 private:
  const SetTableText* text_;
  std::size_t row_;
};

}  // namespace kinetics
