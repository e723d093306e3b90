#pragma once

#include <optional>
#include <string_view>
#include <vector>

/// The cells of one line, and what a cell says. The careful way, for the head of a log; rows in
/// bulk go through row_parser.h.

namespace kinetics::sensor_detail {

/// How the cells of a log are told apart.
struct CellStyle {
  char delimiter = ',';  ///< ' ' stands for any run of spaces and tabs
  char decimal = '.';
};

[[nodiscard]] std::string_view trimmed(std::string_view text);

/// Splits `line` (no line end). Quotes around a cell are taken off; a delimiter inside them does
/// not part cells.
[[nodiscard]] std::vector<std::string_view> cells_of(std::string_view line, char delimiter);

/// The number that is the whole of `cell`, or none. Never NaN or infinite.
[[nodiscard]] std::optional<double> number_in(std::string_view cell, char decimal);

/// Whether `cell` says that there is no value: empty, nan, null, n/a, inf …
[[nodiscard]] bool says_missing(std::string_view cell);

/// Whether the line is a remark: it begins with #, %, // or !, or with ; where that is not the
/// delimiter.
[[nodiscard]] bool is_comment(std::string_view line, char delimiter);

/// Digits after the decimal sign, 0 when there are none.
[[nodiscard]] int decimals_of(std::string_view cell, char decimal);

}  // namespace kinetics::sensor_detail
