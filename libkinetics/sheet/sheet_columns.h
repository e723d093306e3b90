#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sheet/sheet.h"

/// Which column of a sheet means what. Internal to the room.

namespace kinetics::sheet_detail {

/// What a heading says: its meaning, and the unit it names ("" when it names none).
struct Heading {
  SheetField field = SheetField::kLifter;
  std::string unit;
};

[[nodiscard]] std::optional<Heading> heading_in(std::string_view cell);

/// The word for a field, as a new sheet heads it.
[[nodiscard]] std::string_view word_for(SheetField field);

struct Headings {
  std::size_t row = 0;  ///< index in the table
  std::array<std::optional<std::size_t>, kSheetFields> columns;
  std::array<std::string, kSheetFields> units;
};

/// Splits the text by that of comma, semicolon, tab and upright bar under which most headings are
/// understood, and finds them. Titles may stand above.
///
/// Errors  Error{kUnreadable} when no row of headings is found, one of the needed columns is
///         missing, or a meaning stands twice.
struct ReadTable {
  CsvTable table;
  Headings headings;
  Notes notes;
};
[[nodiscard]] ReadTable read_table(const std::string& text, const std::string& file);

}  // namespace kinetics::sheet_detail
