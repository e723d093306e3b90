#include "libkinetics/sheet/csv_table.h"

#include <algorithm>
#include <cstdint>
#include <memory>
#include <new>
#include <utility>

#include <csv.h>
#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

struct Filling {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row;
};

void take_cell(void* text, std::size_t size, void* filling) {
  auto& into = *static_cast<Filling*>(filling);
  into.row.emplace_back(static_cast<const char*>(text), size);
}

void take_row(int /*ended_by*/, void* filling) {
  auto& into = *static_cast<Filling*>(filling);
  into.rows.push_back(std::move(into.row));
  into.row.clear();
}

int ends_a_line(unsigned char c) {
  return c == '\n' ? 1 : 0;
}

/// Every line end outside quotes becomes '\n', so that "\r\n" does not count as two rows. A
/// quotation begins at the start of a cell only and ends before a delimiter or a line end, as the
/// parser has it.
struct PlainLines {
  std::string text;
  bool carriage_returns = false;
  bool quotation_open = false;  // at the end
};

PlainLines with_plain_line_ends(std::string_view text, char delimiter) {
  PlainLines lines;
  std::string& out = lines.text;
  out.reserve(text.size());
  const auto is_blank = [&](char c) { return (c == ' ' || c == '\t') && c != delimiter; };
  const auto ends_cell = [&](std::size_t i) {
    while (i < text.size() && is_blank(text[i])) ++i;
    return i >= text.size() || text[i] == delimiter || text[i] == '\n' || text[i] == '\r';
  };
  bool quoted = false;
  bool at_start = true;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted) {
      out += c;
      if (c != '"') continue;
      const bool doubled = i + 1 < text.size() && text[i + 1] == '"';
      if (doubled) out += text[++i];
      if (!doubled && ends_cell(i + 1)) quoted = false;
      continue;
    }
    quoted = at_start && c == '"';
    const bool pair = c == '\r' && i + 1 < text.size() && text[i + 1] == '\n';
    if (pair) lines.carriage_returns = true;
    at_start = c == delimiter || c == '\n' || c == '\r' || (at_start && is_blank(c));
    if (!pair) out += c == '\r' ? '\n' : c;
  }
  lines.quotation_open = quoted;
  return lines;
}

// One UTF-8 character at `text[i]`: its length, or 0 when there is none (RFC 3629).
std::size_t utf8_length(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) -> std::uint32_t {
    return k < text.size() ? static_cast<unsigned char>(text[k]) : 0U;
  };
  const auto follows = [&](std::size_t k) { return (byte(k) & 0xC0U) == 0x80U; };
  const std::uint32_t first = byte(i);
  if (first < 0x80U) return 1;
  if (first >= 0xC2U && first <= 0xDFU) return follows(i + 1) ? 2 : 0;
  if (first >= 0xE0U && first <= 0xEFU) {
    const bool shortest = first != 0xE0U || byte(i + 1) >= 0xA0U;
    const bool surrogate = first == 0xEDU && byte(i + 1) >= 0xA0U;
    return shortest && !surrogate && follows(i + 1) && follows(i + 2) ? 3 : 0;
  }
  if (first >= 0xF0U && first <= 0xF4U) {
    const bool in_range =
        (first != 0xF0U || byte(i + 1) >= 0x90U) && (first != 0xF4U || byte(i + 1) < 0x90U);
    return in_range && follows(i + 1) && follows(i + 2) && follows(i + 3) ? 4 : 0;
  }
  return 0;
}

bool is_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = utf8_length(text, i);
    if (length == 0) return false;
    i += length;
  }
  return true;
}

void check_text(std::string_view text, const std::string& file) {
  const bool utf16 = text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");
  if (!utf16 && text.find('\0') == std::string_view::npos) return;
  throw Error(ErrorCode::kUnreadable,
              file,
              utf16 ? "this is text in UTF-16" : "this is not text",
              "Save the sheet as CSV in UTF-8");
}

void check_cells(const CsvTable& table, const std::string& file) {
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    for (std::size_t c = 0; c < table.rows[r].size(); ++c) {
      if (is_utf8(table.rows[r][c])) continue;
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("{} row {}, column {}", file, r + 1, column_letters(c)),
                  "a letter here is not UTF-8",
                  "Save the sheet as CSV in UTF-8");
    }
  }
}

bool needs_quotes(const std::string& cell, char delimiter) {
  if (cell.empty()) return false;
  if (cell.starts_with(kByteOrderMark)) return true;  // at the file's very start it would be lost
  const auto is_space = [](char c) { return c == ' ' || c == '\t'; };
  return cell.find(delimiter) != std::string::npos ||
         cell.find_first_of("\"\r\n") != std::string::npos || is_space(cell.front()) ||
         is_space(cell.back());
}

std::string written(const std::string& cell, char delimiter) {
  if (!needs_quotes(cell, delimiter)) return cell;
  std::string out = "\"";
  for (const char c : cell) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

}  // namespace

CsvTable read_csv(std::string_view text, char delimiter, const std::string& file) {
  CsvTable table;
  table.delimiter = delimiter;
  check_text(text, file);
  if (text.starts_with(kByteOrderMark)) {
    table.byte_order_mark = true;
    text.remove_prefix(kByteOrderMark.size());
  }
  const PlainLines lines = with_plain_line_ends(text, delimiter);
  table.carriage_returns = lines.carriage_returns;

  csv_parser parser;
  // Not strict: a mark of inches in a cell without quotes is a letter like any other.
  if (csv_init(&parser, CSV_REPALL_NL) != 0) throw std::bad_alloc();
  const std::unique_ptr<csv_parser, void (*)(csv_parser*)> freed(&parser, &csv_free);
  csv_set_delim(&parser, static_cast<unsigned char>(delimiter));
  csv_set_term_func(&parser, &ends_a_line);
  Filling filling;
  const std::size_t size = lines.text.size();
  if (csv_parse(&parser, lines.text.data(), size, &take_cell, &take_row, &filling) != size) {
    throw std::bad_alloc();  // the only failure without strict reading
  }
  if (lines.quotation_open) {
    throw Error(ErrorCode::kUnreadable,
                fmt::format("{} row {}, column {}",
                            file,
                            filling.rows.size() + 1,
                            column_letters(filling.row.size())),
                "a cell begins with a quotation mark and never ends",
                "Close it, or take the mark away");
  }
  csv_fini(&parser, &take_cell, &take_row, &filling);
  table.rows = std::move(filling.rows);
  check_cells(table, file);
  return table;
}

std::string to_text(const CsvTable& table) {
  std::string out(table.byte_order_mark ? kByteOrderMark : "");
  for (const std::vector<std::string>& row : table.rows) {
    for (std::size_t c = 0; c < row.size(); ++c) {
      if (c > 0) out += table.delimiter;
      // A row of one empty cell would read back as an empty line.
      out += row.size() == 1 && row[c].empty() ? "\"\"" : written(row[c], table.delimiter);
    }
    out += table.carriage_returns ? "\r\n" : "\n";
  }
  return out;
}

std::string column_letters(std::size_t column) {
  constexpr std::size_t kLetters = 26;
  std::string out;
  for (std::size_t n = column + 1; n > 0; n = (n - 1) / kLetters) {
    out.insert(out.begin(), static_cast<char>('A' + (n - 1) % kLetters));
  }
  return out;
}

}  // namespace kinetics
