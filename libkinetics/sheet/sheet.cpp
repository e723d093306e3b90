#include "libkinetics/sheet/sheet.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/sheet/cell_text.h"
#include "libkinetics/sheet/sheet_columns.h"

namespace kinetics {
namespace {

using sheet_detail::Headings;
using sheet_detail::trimmed;

constexpr double kLeastLoadKg = 1.0;
constexpr double kMostLoadKg = 1000.0;
constexpr double kLeastBoxM = 0.05;
constexpr double kMostBoxM = 1.2;
constexpr int kMostSets = 200;
constexpr int kMostReps = 200;
constexpr std::uintmax_t kLargestBytes = std::uintmax_t{16} << 20U;

std::size_t index_of(SheetField field) {
  return static_cast<std::size_t>(field);
}

/// Reads the cells of one row and gathers what is wrong with them.
class RowReader {
 public:
  RowReader(const Sheet& sheet,
            const Headings& headings,
            std::size_t row,
            std::vector<SheetProblem>& problems)
      : sheet_(sheet), headings_(headings), index_(row), problems_(problems) {}

  [[nodiscard]] std::string text(SheetField field) const {
    const auto column = sheet_.columns[index_of(field)];
    const auto& cells = sheet_.table.rows[index_];
    return column && *column < cells.size() ? trimmed(cells[*column]) : "";
  }

  void complain(SheetField field, std::string what, std::string mend) {
    problems_.push_back({.row = static_cast<int>(index_) + 1,
                         .column = column_name(sheet_, field),
                         .what = std::move(what),
                         .mend = std::move(mend)});
  }

  std::string needed(SheetField field) {
    std::string out = text(field);
    if (out.empty()) {
      complain(field, fmt::format("the {} is missing", sheet_detail::word_for(field)), "Write it");
    }
    return out;
  }

  std::optional<int> whole(SheetField field, int most) {
    const std::string cell = text(field);
    if (cell.empty()) return std::nullopt;
    std::string why;
    const auto read = sheet_detail::number_in(cell, why);
    const bool good = read && read->unit.empty() && read->number == std::floor(read->number) &&
                      read->number >= 1.0 && read->number <= most;
    if (good) return static_cast<int>(read->number);
    complain(
        field,
        fmt::format("'{}' is no number of {}", cell, field == SheetField::kSet ? "a set" : "reps"),
        fmt::format("Give a whole number from 1 to {}", most));
    return std::nullopt;
  }

  void load(SheetRow& row) {
    const std::string cell = needed(SheetField::kLoad);
    if (cell.empty()) return;
    std::string unit;
    const auto value =
        with_unit(SheetField::kLoad, cell, &sheet_detail::kilograms_in, "kg or lb", "100 kg", unit);
    if (!value) return;
    if (*value < kLeastLoadKg || *value > kMostLoadKg) {
      complain(
          SheetField::kLoad,
          fmt::format("'{}' is no load a bar could have", cell),
          fmt::format(
              "Give bar, discs and collars together, {:g} to {:g} kg", kLeastLoadKg, kMostLoadKg));
      return;
    }
    row.load_kg = *value;
    row.load_unit =
        sheet_detail::kilograms_in(unit) == 1.0 ? MassUnit::kKilogram : MassUnit::kPound;
  }

  std::optional<double> box() {
    const std::string cell = text(SheetField::kBoxHeight);
    if (cell.empty() || cell == "-") return std::nullopt;
    std::string unit;
    const auto value = with_unit(
        SheetField::kBoxHeight, cell, &sheet_detail::metres_in, "cm or in", "38 cm", unit);
    if (!value || (*value >= kLeastBoxM && *value <= kMostBoxM)) return value;
    complain(SheetField::kBoxHeight,
             fmt::format("'{}' is no height of a box", cell),
             fmt::format("Give {:g} to {:g} cm", 100.0 * kLeastBoxM, 100.0 * kMostBoxM));
    return std::nullopt;
  }

  std::vector<GearCount> gear(SheetField field) {
    std::string why;
    const auto read = sheet_detail::gear_in(text(field), why);
    if (read) return *read;
    complain(
        field, why, "Write it like this: 2 x long chain + 4 x short chain, both sides together");
    return {};
  }

  /// From its own column, else in front of the time.
  std::string date() {
    std::string why;
    const std::string cell = text(SheetField::kDate);
    if (cell.empty()) return sheet_detail::day_in_cell(text(SheetField::kStart), why);
    std::string day = sheet_detail::day_in_cell(cell, why);
    if (day.empty()) complain(SheetField::kDate, why, "Write it like 2031-03-07");
    return day;
  }

  std::string start() {
    std::string cell = text(SheetField::kStart);
    if (!cell.empty() && !sheet_detail::is_time_or_order(cell)) {
      complain(SheetField::kStart,
               fmt::format("'{}' is neither a time nor a place in the order", cell),
               "Write it like 17:05, or number the sets 1, 2, 3");
    }
    return cell;
  }

 private:
  using InUnit = std::optional<double> (*)(std::string_view);

  // The unit of the cell goes before that of the heading.
  std::optional<double> with_unit(SheetField field,
                                  const std::string& cell,
                                  InUnit in_unit,
                                  std::string_view units,
                                  std::string_view example,
                                  std::string& unit) {
    std::string why;
    const auto read = sheet_detail::number_in(cell, why);
    if (!read) {
      complain(field, why, fmt::format("Write it like '{}'", example));
      return std::nullopt;
    }
    unit = read->unit.empty() ? headings_.units[index_of(field)] : read->unit;
    if (const auto factor = in_unit(unit)) return read->number * *factor;
    complain(field,
             unit.empty() ? fmt::format("'{}' has no unit", cell)
                          : fmt::format("'{}' in '{}' is no unit of this", unit, cell),
             fmt::format("Write {} in the heading, or '{}' in the cell", units, example));
    return std::nullopt;
  }

  const Sheet& sheet_;
  const Headings& headings_;
  std::size_t index_;
  std::vector<SheetProblem>& problems_;
};

bool is_blank(const std::vector<std::string>& cells) {
  return std::all_of(
      cells.begin(), cells.end(), [](const std::string& cell) { return trimmed(cell).empty(); });
}

bool is_to_fill(const RowReader& reader) {
  for (const SheetField field : {SheetField::kLoad,
                                 SheetField::kChains,
                                 SheetField::kBands,
                                 SheetField::kSet,
                                 SheetField::kStart,
                                 SheetField::kReps,
                                 SheetField::kNotes}) {
    if (!reader.text(field).empty()) return false;
  }
  return !reader.text(SheetField::kLifter).empty() || !reader.text(SheetField::kLift).empty();
}

// Cells beyond the headings come from a decimal comma or a comma in a note, without quotes.
bool has_too_many_cells(const std::vector<std::string>& cells, std::size_t headings) {
  return cells.size() > headings &&
         !is_blank({cells.begin() + static_cast<std::ptrdiff_t>(headings), cells.end()});
}

SheetRow read_row(RowReader& reader, int number) {
  SheetRow row;
  row.row = number;
  row.lifter = reader.needed(SheetField::kLifter);
  row.lift = reader.needed(SheetField::kLift);
  row.bar = reader.text(SheetField::kBar);
  if (row.bar == "-") row.bar.clear();
  row.box_height_m = reader.box();
  reader.load(row);
  row.chains = reader.gear(SheetField::kChains);
  row.bands = reader.gear(SheetField::kBands);
  row.set = reader.whole(SheetField::kSet, kMostSets);
  row.start = reader.start();
  row.planned_reps = reader.whole(SheetField::kReps, kMostReps);
  row.notes = reader.text(SheetField::kNotes);
  row.clip = reader.text(SheetField::kClip);
  row.date = reader.date();
  return row;
}

void read_rows(SheetReading& out, const Headings& headings) {
  Sheet& sheet = out.sheet;
  const std::size_t width = sheet.table.rows[headings.row].size();
  for (std::size_t r = headings.row + 1; r < sheet.table.rows.size(); ++r) {
    const std::vector<std::string>& cells = sheet.table.rows[r];
    if (is_blank(cells)) continue;
    const int number = static_cast<int>(r) + 1;
    if (has_too_many_cells(cells, width)) {
      out.problems.push_back(
          {.row = number,
           .column = column_letters(width),
           .what =
               fmt::format("this row has {} cells and the headings are {}", cells.size(), width),
           .mend =
               fmt::format("Put a cell that holds '{}' in quotes",
                           sheet.table.delimiter == '\t' ? std::string("tab")
                                                         : std::string(1, sheet.table.delimiter))});
      continue;
    }
    RowReader reader(sheet, headings, r, out.problems);
    if (is_to_fill(reader)) {
      ++sheet.rows_to_fill;
      continue;
    }
    const std::size_t before = out.problems.size();
    SheetRow row = read_row(reader, number);
    if (out.problems.size() == before) sheet.rows.push_back(std::move(row));
  }
}

std::string content_of(const std::string& path) {
  const auto refuse = [&](const std::string& what, const std::string& mend) {
    throw Error(ErrorCode::kUnreadable, path, what, mend);
  };
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (!std::filesystem::exists(status)) {
    refuse("no such sheet", "Make one with kinetics sheet new");
  }
  if (std::filesystem::is_directory(status)) refuse("this is a folder", "Give a file in it");
  if (std::filesystem::is_regular_file(status) &&
      std::filesystem::file_size(path, failed) > kLargestBytes) {
    refuse("this is too large for a sheet", "Give a sheet of one session");
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  if (!file) refuse("this cannot be read", "Allow reading it, or give another file");
  if (content.str().empty()) refuse("this sheet is empty", "Make one with kinetics sheet new");
  return std::move(content).str();
}

}  // namespace

SheetReading parse_sheet(const std::string& text, const std::string& file) {
  sheet_detail::ReadTable read = sheet_detail::read_table(text, file);
  SheetReading out;
  out.sheet.file = file;
  out.sheet.table = std::move(read.table);
  out.sheet.heading_row = read.headings.row;
  out.sheet.columns = read.headings.columns;
  out.sheet.notes = std::move(read.notes);
  read_rows(out, read.headings);
  return out;
}

SheetReading inspect_sheet(const std::string& path) {
  return parse_sheet(content_of(path), path);
}

Sheet read_sheet(const std::string& path) {
  SheetReading reading = inspect_sheet(path);
  if (!reading.problems.empty()) throw as_error(reading.problems.front(), path);
  return std::move(reading.sheet);
}

std::string to_text(const Sheet& sheet) {
  return to_text(sheet.table);
}

Error as_error(const SheetProblem& problem, const std::string& file) {
  return {ErrorCode::kUnreadable,
          fmt::format("{} row {}{}{}",
                      file,
                      problem.row,
                      problem.column.empty() ? "" : ", column ",
                      problem.column),
          problem.what,
          problem.mend};
}

std::string column_name(const Sheet& sheet, SheetField field) {
  const auto column = sheet.columns[index_of(field)];
  if (!column) return "";
  return fmt::format("{} ({})", column_letters(*column), sheet_detail::word_for(field));
}

std::string in_words(const SheetRow& row) {
  std::string out = fmt::format("row {}: {}, {}", row.row, row.lifter, row.lift);
  if (row.set) out += fmt::format(", set {}", *row.set);
  return out;
}

}  // namespace kinetics
