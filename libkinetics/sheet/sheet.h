#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/error.h"
#include "libkinetics/core/note.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/sheet/csv_table.h"

/// The session sheet: a CSV that the coach keeps in a spreadsheet, one row a set.
///
///   lifter,lift,bar,box height (cm),load (kg),chains,bands,set,time,reps,notes
///   Odalys Brandt,box squat,cambered bar,38,92.5,2 x long chain,,1,17:05,4,
///
/// Columns stand in any order under names told by their meaning and not by case; commas, semicolons
/// or tabs, decimal point or comma; a unit stands in the heading or in the cell. Columns that mean
/// nothing here are kept. Lifter, lift and load are needed. A row in which nothing but lifter,
/// lift, bar and box stands is one that is still to be filled in.

namespace kinetics {

enum class SheetField {
  kLifter,
  kLift,
  kBar,
  kBoxHeight,
  kLoad,
  kChains,
  kBands,
  kSet,
  kStart,
  kReps,
  kNotes,
  kClip,
  kDate,
};
inline constexpr std::size_t kSheetFields = 13;

/// Pieces of gear of one name with their number, both sides together.
struct GearCount {
  std::string name;
  int count = 2;
};

/// One set as written down.
struct SheetRow {
  int row = 0;  ///< as a spreadsheet numbers it
  std::string lifter;
  std::string lift;
  std::string bar;  ///< empty: the usual one
  std::optional<double> box_height_m;
  double load_kg = 0.0;  ///< bar, discs and collars together
  MassUnit load_unit = MassUnit::kKilogram;
  std::vector<GearCount> chains;
  std::vector<GearCount> bands;
  std::optional<int> set;
  std::string start;  ///< time of day or place in the order
  std::optional<int> planned_reps;
  std::string notes;
  std::string clip;       ///< the clip's or log's file name, when the sheet has a column for it
  std::string date = {};  ///< day of the lifting, ISO 8601; empty when the sheet does not tell
};

struct Sheet {
  std::string file;             ///< for messages
  CsvTable table;               ///< every cell, read or not
  std::size_t heading_row = 0;  ///< index into the table's rows; titles may stand above
  std::array<std::optional<std::size_t>, kSheetFields> columns;
  std::vector<SheetRow> rows;
  int rows_to_fill = 0;  ///< with lifter and lift, and nothing else yet
  Notes notes;
};

/// Something wrong with one cell.
struct SheetProblem {
  int row = 0;
  std::string column;  ///< "F (load)"; empty when the whole row is meant
  std::string what;
  std::string mend;
};

struct SheetReading {
  Sheet sheet;
  std::vector<SheetProblem> problems;  ///< by row; rows that have one are not in the sheet's rows
};

/// Reads a sheet with everything that is wrong with its cells.
///
/// Errors  Error{kUnreadable} when the file cannot be read at all, is no CSV, or has no row of
///         headings.
[[nodiscard]] SheetReading inspect_sheet(const std::string& path);
[[nodiscard]] SheetReading parse_sheet(const std::string& text, const std::string& file);

/// Reads a sheet. Errors: as inspect_sheet, and the first problem as Error{kUnreadable}.
[[nodiscard]] Sheet read_sheet(const std::string& path);

/// The sheet's text with every cell that was read, unknown columns among them.
[[nodiscard]] std::string to_text(const Sheet& sheet);

/// "FILE row 4, column F (load): WHAT. MEND."
[[nodiscard]] Error as_error(const SheetProblem& problem, const std::string& file);

/// The letters and the heading's meaning, "F (load)", for messages; empty when there is no such
/// column.
[[nodiscard]] std::string column_name(const Sheet& sheet, SheetField field);

/// "row 2: Odalys Brandt, box squat, set 1".
[[nodiscard]] std::string in_words(const SheetRow& row);

}  // namespace kinetics
