#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

/// Comma-separated values as spreadsheets write them, read and written without loss of a cell.

namespace kinetics {

struct CsvTable {
  /// rows[0] is the spreadsheet's row 1; an empty line is a row without cells.
  std::vector<std::vector<std::string>> rows;
  char delimiter = ',';
  bool byte_order_mark = false;   ///< EF BB BF in front
  bool carriage_returns = false;  ///< lines end in CR LF
};

/// Reads text whose cells are parted by `delimiter`. Cells in quotes may hold delimiters, doubled
/// quotes and line ends; spaces around a cell without quotes do not count.
///
/// Errors  Error{kUnreadable} naming `file` and the row: a quoted cell without an end, bytes that
///         are no text, or cells that are not UTF-8.
/// Source  RFC 4180, and what spreadsheets do beyond it.
[[nodiscard]] CsvTable read_csv(std::string_view text, char delimiter, const std::string& file);

/// Writes the table with quotes where they are needed. Reading it gives the same cells.
[[nodiscard]] std::string to_text(const CsvTable& table);

/// "A" for 0, "Z" for 25, "AA" for 26: as a spreadsheet names its columns.
[[nodiscard]] std::string column_letters(std::size_t column);

}  // namespace kinetics
