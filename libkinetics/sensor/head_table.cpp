#include "libkinetics/sensor/head_table.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "libkinetics/sensor/cells.h"
#include "libkinetics/sensor/stamp_text.h"

namespace kinetics::sensor_detail {
namespace {

constexpr std::size_t kRows = 60000;
constexpr std::size_t kLabels = 9;

void add_cell(HeadColumn& column, std::string_view cell, char decimal) {
  double value = std::numeric_limits<double>::quiet_NaN();
  if (const std::optional<double> number = number_in(cell, decimal)) {
    value = *number;
    ++column.numbers;
    column.decimals = std::max(column.decimals, decimals_of(cell, decimal));
    if (value != std::floor(value)) column.whole_numbers = false;
  } else if (says_missing(cell)) {
    ++column.missing;
  } else if (const std::optional<Stamp> stamp = stamp_in(cell)) {
    value = stamp->s;
    ++column.stamps;
    column.decimals = std::max(column.decimals, stamp->fraction_digits);
    column.stamps_have_date |= stamp->has_date;
    column.stamps_have_zone |= stamp->has_zone;
  } else {
    ++column.texts;
    if (column.labels.size() < kLabels &&
        std::find(column.labels.begin(), column.labels.end(), cell) == column.labels.end()) {
      column.labels.emplace_back(cell);
    }
  }
  if (column.first.empty() && !says_missing(cell)) column.first = cell;
  column.values.push_back(value);
}

bool is_meant(const std::vector<std::string_view>& cells, const RowFilter& filter) {
  if (filter.label_column &&
      (*filter.label_column >= cells.size() || cells[*filter.label_column] != filter.label)) {
    return false;
  }
  return std::all_of(filter.present.begin(), filter.present.end(), [&](std::size_t column) {
    return column < cells.size() && !says_missing(cells[column]);
  });
}

}  // namespace

HeadTable read_head(std::string_view head, const Dialect& dialect, const RowFilter& filter) {
  HeadTable table;
  const std::size_t all = head.size();
  table.columns.resize(dialect.columns);
  for (std::size_t line = 0; !head.empty() && table.rows < kRows; ++line) {
    const std::size_t end = head.find('\n');
    std::string_view text = head.substr(0, end);
    head = end == std::string_view::npos ? std::string_view() : head.substr(end + 1);
    if (line < dialect.first_row || trimmed(text).empty() ||
        is_comment(text, dialect.style.delimiter)) {
      continue;
    }
    const std::vector<std::string_view> cells = cells_of(text, dialect.style.delimiter);
    // Rows of another length say nothing about the columns.
    if (cells.size() + 1 < dialect.columns || cells.size() > dialect.columns + 1) continue;
    if (!is_meant(cells, filter)) continue;
    for (std::size_t i = 0; i < dialect.columns; ++i) {
      add_cell(table.columns[i],
               i < cells.size() ? cells[i] : std::string_view(),
               dialect.style.decimal);
    }
    ++table.rows;
  }
  table.head_bytes = all - head.size();
  return table;
}

}  // namespace kinetics::sensor_detail
