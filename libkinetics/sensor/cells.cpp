#include "libkinetics/sensor/cells.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <string>
#include <system_error>

#include <fast_float/fast_float.h>

namespace kinetics::sensor_detail {
namespace {

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\r';
}

// End of a quoted cell's inside, from the character after the opening quote. A doubled quote is
// part of the cell.
std::size_t closing_quote(std::string_view line, std::size_t from) {
  for (std::size_t i = from; i < line.size(); ++i) {
    if (line[i] != '"') continue;
    if (i + 1 < line.size() && line[i + 1] == '"') {
      ++i;
      continue;
    }
    return i;
  }
  return std::string_view::npos;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

std::vector<std::string_view> cells_of(std::string_view line, char delimiter) {
  std::vector<std::string_view> cells;
  const bool runs = delimiter == ' ';
  const auto parts = [&](char c) { return runs ? (c == ' ' || c == '\t') : c == delimiter; };
  while (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  if (runs) line = trimmed(line);
  std::size_t at = 0;
  while (at <= line.size()) {
    while (at < line.size() && is_blank(line[at]) && !parts(line[at])) ++at;
    if (at < line.size() && line[at] == '"') {
      const std::size_t close = closing_quote(line, at + 1);
      if (close != std::string_view::npos) {
        cells.push_back(trimmed(line.substr(at + 1, close - at - 1)));
        at = close + 1;
        while (at < line.size() && !parts(line[at])) ++at;
        ++at;
        while (runs && at < line.size() && parts(line[at])) ++at;
        continue;
      }
    }
    std::size_t end = at;
    while (end < line.size() && !parts(line[end])) ++end;
    cells.push_back(trimmed(line.substr(at, end - at)));
    at = end + 1;
    while (runs && at < line.size() && parts(line[at])) ++at;
  }
  return cells;
}

std::optional<double> number_in(std::string_view cell, char decimal) {
  cell = trimmed(cell);
  if (!cell.empty() && cell.front() == '+') cell.remove_prefix(1);
  if (cell.empty() || cell.front() == '+') return std::nullopt;
  double value = 0.0;
  const char* const end = cell.data() + cell.size();
  const auto result = fast_float::from_chars_advanced(
      cell.data(),
      end,
      value,
      fast_float::parse_options(fast_float::chars_format::general, decimal));
  if (result.ec != std::errc() || result.ptr != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

bool says_missing(std::string_view cell) {
  cell = trimmed(cell);
  if (cell.empty()) return true;
  if (cell.size() > 9) return false;
  std::string low(cell);
  std::transform(low.begin(), low.end(), low.begin(), [](unsigned char c) {
    return static_cast<char>(std::tolower(c));
  });
  if (low.front() == '-' || low.front() == '+') low.erase(0, 1);
  for (const std::string_view word : {"",
                                      "nan",
                                      "null",
                                      "none",
                                      "na",
                                      "n/a",
                                      "inf",
                                      "infinity",
                                      "-",
                                      "--",
                                      "#n/a",
                                      "?",
                                      "1.#qnan",
                                      "1.#inf",
                                      "1.#ind",
                                      "undefined"}) {
    if (low == word) return true;
  }
  return false;
}

bool is_comment(std::string_view line, char delimiter) {
  line = trimmed(line);
  if (line.empty()) return false;
  const char c = line.front();
  if (c == '#' || c == '%' || c == '!') return true;
  if (c == ';') return delimiter != ';';
  return c == '/' && line.size() > 1 && line[1] == '/';
}

int decimals_of(std::string_view cell, char decimal) {
  const std::size_t point = cell.find(decimal);
  if (point == std::string_view::npos) return 0;
  int digits = 0;
  for (std::size_t i = point + 1; i < cell.size(); ++i) {
    if (!std::isdigit(static_cast<unsigned char>(cell[i]))) break;
    ++digits;
  }
  return digits;
}

}  // namespace kinetics::sensor_detail
