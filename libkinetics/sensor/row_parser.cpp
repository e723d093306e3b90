#include "libkinetics/sensor/row_parser.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <optional>
#include <system_error>
#include <utility>

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/cells.h"
#include "libkinetics/sensor/stamp_text.h"

namespace kinetics::sensor_detail {
namespace {

// Beyond these nothing is a reading of a sensor on a bar; what is left fits a float by far.
constexpr double kLargestValue = 1e6;    // m/s², rad/s, m
constexpr double kLargestTime_s = 1e12;  // 30,000 years

std::string shortened(std::string_view cell) {
  std::string text(cell.substr(0, 24));
  for (char& c : text) {
    if (static_cast<unsigned char>(c) < 0x20U) c = '?';
  }
  return text + (cell.size() > 24 ? "…" : "");
}

}  // namespace

RowParser::RowParser(const LogPlan& plan)
    : plan_(plan), delimiter_(plan.dialect.style.delimiter), decimal_(plan.dialect.style.decimal) {
  std::size_t needed = 0;
  for (const auto& column : plan.column_of) {
    if (column) needed = std::max(needed, *column + 1);
  }
  if (plan.filter.label_column) needed = std::max(needed, *plan.filter.label_column + 1);
  uses_.assign(needed, kSkip);
  for (std::size_t slot = 0; slot < kSlots; ++slot) {
    if (plan.column_of[slot]) uses_[*plan.column_of[slot]] = static_cast<int>(slot);
  }
  if (plan.filter.label_column) uses_[*plan.filter.label_column] = kLabel;
}

void RowParser::parse(std::string_view block, std::vector<LogRow>& rows) {
  const char* at = block.data();
  const char* const end = at + block.size();
  LogRow row;
  while (at < end) {
    const auto* const stop =
        static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
    ++line_;
    if (line_ > plan_.dialect.first_row) {
      if (parse_fast(at, stop, row)) {
        ++rows_;
        rows.push_back(row);
      } else {
        parse_slowly({at, static_cast<std::size_t>(stop - at)}, rows);
      }
    }
    at = stop + 1;
  }
  if (wrong_.rows > 20) refuse_if_useless(rows_ / 20 + 20);
}

void RowParser::finish(bool open_end) {
  if (open_end && wrong_.rows > 0 && last_wrong_line_ == line_) {
    cut_short_ = true;
    --wrong_.rows;
    --rows_;
  }
  refuse_if_useless(std::max<std::size_t>(3, rows_ / 20));
}

void RowParser::refuse_if_useless(std::size_t allowed) const {
  if (wrong_.rows <= allowed) return;
  throw Error(ErrorCode::kUnreadable,
              fmt::format("{}:{}", plan_.file, wrong_.line),
              fmt::format("{}; {} of {} rows are wrong", wrong_.reason, wrong_.rows, rows_),
              "Export the log again, or name its columns with --columns");
}

// Reads the cell at `at` and returns what is behind it (a delimiter or `end`); null when it is not
// plainly what is expected.
const char* RowParser::read_cell(const char* at, const char* end, int use) {
  const bool runs = delimiter_ == ' ';
  const auto parts = [&](char c) { return c == delimiter_ || (runs && c == '\t'); };
  if (use < 0 || (use == kTimeSlot && plan_.time && plan_.time->written)) {
    if (at < end && *at == '"') return nullptr;
    const char* const from = at;
    while (at < end && !parts(*at)) ++at;
    const std::string_view cell(from, static_cast<std::size_t>(at - from));
    if (use == kLabel && trimmed(cell) != plan_.filter.label) return nullptr;
    if (use >= 0) {
      const std::optional<Stamp> stamp = stamp_in(cell);
      if (!stamp) return nullptr;
      cells_[kTimeSlot] = stamp->s;
    }
    return at;
  }
  if (at < end && *at == '+') ++at;
  double& value = cells_[static_cast<std::size_t>(use)];
  const auto result = fast_float::from_chars_advanced(
      at, end, value, fast_float::parse_options(fast_float::chars_format::general, decimal_));
  if (result.ec != std::errc()) return nullptr;
  at = result.ptr;
  if (at == end || parts(*at)) return at;
  while (at < end && (*at == ' ' || *at == '\r' || (*at == '\t' && !parts('\t')))) ++at;
  return at == end || parts(*at) ? at : nullptr;
}

bool RowParser::parse_fast(const char* at, const char* end, LogRow& row) {
  const bool runs = delimiter_ == ' ';
  for (std::size_t column = 0; column < uses_.size(); ++column) {
    while (at < end && (*at == ' ' || (*at == '\t' && (runs || delimiter_ != '\t')))) ++at;
    if (at == end && column > 0 && !(column + 1 == uses_.size())) return false;
    at = read_cell(at, end, uses_[column]);
    if (at == nullptr) return false;
    if (column + 1 == uses_.size()) break;
    if (at == end) return false;
    ++at;
  }
  row.line = line_;
  std::string reason;
  return accept(row, reason);
}

// From cells to SI units. False, with a reason, for what no sensor can read.
bool RowParser::accept(LogRow& row, std::string& reason) {
  row.t_s = plan_.time ? (cells_[kTimeSlot] - plan_.origin) * plan_.time->to_s : 0.0;
  if (plan_.column_of[kFractionSlot]) row.t_s += cells_[kFractionSlot] * plan_.fraction_to_s;
  if (!(std::abs(row.t_s) < kLargestTime_s)) {
    reason = "the time is out of any range";
    return false;
  }
  const std::size_t main = plan_.content == Content::kHeight ? 1 : 3;
  for (std::size_t i = 0; i < main; ++i) {
    double value = cells_[kMainSlot + i];
    if (plan_.column_of[kGravitySlot]) value += cells_[kGravitySlot + i];
    row.values[i] = value * plan_.main_to_si;
  }
  if (plan_.column_of[kGyroSlot]) {
    for (std::size_t i = 0; i < 3; ++i) {
      row.values[3 + i] = cells_[kGyroSlot + i] * plan_.gyro_to_si;
    }
  }
  for (const double value : row.values) {
    if (!(std::abs(value) < kLargestValue)) {
      reason = "a reading is beyond anything a sensor can read";
      return false;
    }
  }
  return true;
}

void RowParser::leave_out(LeftOut& tally, std::string reason) const {
  if (tally.rows++ > 0) return;
  tally.line = line_;
  tally.reason = std::move(reason);
}

std::string RowParser::name_of(std::size_t column) const {
  const auto& header = plan_.dialect.header;
  return column < header.size() && !header[column].empty() ? fmt::format("'{}'", header[column])
                                                           : fmt::format("column {}", column + 1);
}

void RowParser::parse_slowly(std::string_view line, std::vector<LogRow>& rows) {
  if (trimmed(line).empty() || is_comment(line, delimiter_)) return;
  const std::vector<std::string_view> cells = cells_of(line, delimiter_);
  const auto& header = plan_.dialect.header;
  if (!header.empty() && std::equal(cells.begin(), cells.end(), header.begin(), header.end())) {
    return leave_out(headers_, "");
  }
  const RowFilter& filter = plan_.filter;
  if (filter.label_column && *filter.label_column < cells.size() &&
      cells[*filter.label_column] != filter.label) {
    return;
  }
  for (const std::size_t column : filter.present) {
    if (column >= cells.size() || says_missing(cells[column])) return;
  }
  ++rows_;
  const auto wrong = [&](std::string reason) {
    last_wrong_line_ = line_;
    leave_out(wrong_, std::move(reason));
  };
  if (cells.size() < uses_.size()) {
    return wrong(
        fmt::format("the row has {} cells instead of {}", cells.size(), plan_.dialect.columns));
  }
  for (std::size_t column = 0; column < uses_.size(); ++column) {
    if (uses_[column] < 0) continue;
    const std::string_view cell = cells[column];
    const auto slot = static_cast<std::size_t>(uses_[column]);
    const bool written = slot == kTimeSlot && plan_.time->written;
    const std::optional<Stamp> stamp = written ? stamp_in(cell) : std::nullopt;
    const std::optional<double> number = written ? std::nullopt : number_in(cell, decimal_);
    if (stamp || number) {
      cells_[slot] = stamp ? stamp->s : *number;
    } else if (says_missing(cell)) {
      return leave_out(missing_, name_of(column));
    } else {
      return wrong(fmt::format(
          "'{}' in {} is not a {}", shortened(cell), name_of(column), written ? "time" : "number"));
    }
  }
  LogRow row;
  row.line = line_;
  std::string reason;
  if (!accept(row, reason)) return wrong(reason);
  rows.push_back(row);
}

}  // namespace kinetics::sensor_detail
