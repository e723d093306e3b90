#include "libkinetics/logbook/set_csv_row.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <iterator>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/roster/names.h"
#include "libkinetics/session/rep_quantities.h"

namespace kinetics {
namespace {

std::string trimmed(std::string_view cell) {
  constexpr const char* kSpaces = " \t\r\n";
  const std::size_t first = cell.find_first_not_of(kSpaces);
  if (first == std::string_view::npos) return "";
  return std::string(cell.substr(first, cell.find_last_not_of(kSpaces) - first + 1));
}

std::vector<std::string> known_headings() {
  std::vector<std::string> out(std::begin(kSetHeadings), std::end(kSetHeadings));
  out.insert(out.end(), std::begin(kRepHeadings), std::end(kRepHeadings));
  for (const Quantity& q : kQuantities) {
    for (const char* const part : {"", "_sigma", "_lo", "_hi"}) out.push_back(name_of(q, part));
  }
  return out;
}

/// The split that makes more of the headings known.
CsvTable split(const std::string& text, const std::string& file) {
  const std::size_t end = std::min(text.find('\n'), text.size());
  const std::string_view first_line = std::string_view(text).substr(0, end);
  const auto count = [&](char c) { return std::count(first_line.begin(), first_line.end(), c); };
  return read_csv(text, count(';') > count(',') ? ';' : ',', file);
}

void need_columns(const SetTableText& text) {
  for (const char* const heading : {"date", "lifter", "lift", "set", "rep", "mean_velocity_mps"}) {
    if (text.columns.count(heading) > 0) continue;
    std::string mend = fmt::format("Head one with '{}'", heading);
    if (const auto near = nearest_name(heading, text.unknown)) {
      mend = fmt::format("Rename '{}' if it is meant", *near);
    }
    throw Error(ErrorCode::kUnreadable,
                text.file + " row 1",
                fmt::format("there is no column '{}'", heading),
                mend);
  }
  if (text.columns.count("load_kg") == 0 && text.columns.count("load_lb") == 0) {
    throw Error(ErrorCode::kUnreadable,
                text.file + " row 1",
                "there is no column 'load_kg' or 'load_lb'",
                "Give bar, discs and collars together in one of them");
  }
}

}  // namespace

SetTableText find_columns(const std::string& text, const std::string& file) {
  SetTableText out{.file = file, .table = split(text, file), .columns = {}, .unknown = {}};
  if (out.table.rows.empty() || out.table.rows.front().empty()) {
    throw Error(ErrorCode::kUnreadable, file, "this table is empty", "Give one row a rep");
  }
  const std::vector<std::string> known = known_headings();
  const std::vector<std::string>& headings = out.table.rows.front();
  for (std::size_t c = 0; c < headings.size(); ++c) {
    const std::string heading = trimmed(headings[c]);
    if (heading.empty()) continue;
    if (std::find(known.begin(), known.end(), heading) == known.end()) {
      out.unknown.push_back(heading);
    } else if (!out.columns.emplace(heading, c).second) {
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("{} row 1, column {}", file, column_letters(c)),
                  fmt::format("the heading '{}' stands here a second time", heading),
                  "Take one of the two columns out");
    }
  }
  need_columns(out);
  return out;
}

bool SetCsvRow::is_blank() const {
  const std::vector<std::string>& cells = text_->table.rows[row_];
  return std::all_of(
      cells.begin(), cells.end(), [](const std::string& cell) { return trimmed(cell).empty(); });
}

void SetCsvRow::refuse_more_cells() const {
  const std::vector<std::string>& cells = text_->table.rows[row_];
  const std::size_t headings = text_->table.rows.front().size();
  for (std::size_t c = headings; c < cells.size(); ++c) {
    if (trimmed(cells[c]).empty()) continue;
    throw Error(
        ErrorCode::kUnreadable,
        fmt::format("{} row {}, column {}", text_->file, number(), column_letters(c)),
        fmt::format("this row has {} cells and the headings are {}", cells.size(), headings),
        fmt::format("Put a cell that holds '{}' in quotes", text_->table.delimiter));
  }
}

std::string SetCsvRow::cell(std::string_view heading) const {
  const auto column = text_->columns.find(heading);
  const std::vector<std::string>& cells = text_->table.rows[row_];
  if (column == text_->columns.end() || column->second >= cells.size()) return "";
  return trimmed(cells[column->second]);
}

std::string SetCsvRow::needed(std::string_view heading) const {
  std::string out = cell(heading);
  if (out.empty()) refuse(heading, fmt::format("the {} is missing", heading), "Write it");
  return out;
}

std::optional<double> SetCsvRow::number(std::string_view heading,
                                        double least,
                                        double greatest) const {
  const std::string written = cell(heading);
  if (written.empty()) return std::nullopt;
  std::string digits = written;
  if (text_->table.delimiter != ',') std::replace(digits.begin(), digits.end(), ',', '.');
  double value = 0.0;
  const char* const end = digits.data() + digits.size();
  const auto [stop, failed] = std::from_chars(digits.data(), end, value);
  if (failed != std::errc{} || stop != end || !std::isfinite(value)) {
    refuse(heading, fmt::format("'{}' is not a number", written), "Write it like 0.742");
  }
  if (value < least || value > greatest) {
    refuse(heading,
           fmt::format("{} is out of range", written),
           fmt::format("Give a value from {:g} to {:g}, in the heading's unit", least, greatest));
  }
  return value;
}

std::optional<int> SetCsvRow::whole(std::string_view heading, int least, int greatest) const {
  const std::optional<double> value = number(heading, least, greatest);
  if (!value) return std::nullopt;
  if (*value != std::floor(*value)) {
    refuse(heading, fmt::format("'{}' is no whole number", cell(heading)), "Write one");
  }
  return static_cast<int>(*value);
}

void SetCsvRow::refuse(std::string_view heading,
                       const std::string& what,
                       const std::string& mend) const {
  const auto column = text_->columns.find(heading);
  const std::string place =
      column == text_->columns.end()
          ? ""
          : fmt::format(", column {} ({})", column_letters(column->second), heading);
  throw Error(
      ErrorCode::kUnreadable, fmt::format("{} row {}{}", text_->file, number(), place), what, mend);
}

}  // namespace kinetics
