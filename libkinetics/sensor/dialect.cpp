#include "libkinetics/sensor/dialect.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/stamp_text.h"
#include "libkinetics/sensor/units.h"

namespace kinetics::sensor_detail {
namespace {

constexpr std::size_t kLinesLookedAt = 1000;

std::vector<std::string_view> first_lines(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty() && lines.size() < kLinesLookedAt) {
    const std::size_t end = text.find('\n');
    std::string_view line = text.substr(0, end);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    lines.push_back(line);
    text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
  }
  return lines;
}

// What one line is when it is cut this way.
struct LineShape {
  std::size_t cells = 0;
  std::size_t numbers = 0;  // numbers and written times
  std::size_t texts = 0;
  bool comment = false;
  bool blank = false;

  // Three columns of labels at most stand beside the numbers of a row.
  [[nodiscard]] bool row() const {
    return !comment && cells >= 2 && numbers >= 2 && numbers >= texts && texts <= 3;
  }
};

LineShape shape_of(std::string_view line, const CellStyle& style) {
  LineShape shape;
  if (trimmed(line).empty()) {
    shape.blank = true;
    return shape;
  }
  shape.comment = is_comment(line, style.delimiter);
  for (const std::string_view cell : cells_of(line, style.delimiter)) {
    ++shape.cells;
    if (number_in(cell, style.decimal) || stamp_in(cell)) {
      ++shape.numbers;
    } else if (!says_missing(cell)) {
      ++shape.texts;
    }
  }
  return shape;
}

struct Candidate {
  CellStyle style;
  std::vector<LineShape> shapes;
  std::size_t columns = 0;
  std::ptrdiff_t score = 0;
};

// The layout that turns most lines into rows of one length, with most numbers and fewest scraps of
// text in them, is the right one.
Candidate score_of(const std::vector<std::string_view>& lines, const CellStyle& style) {
  Candidate candidate{.style = style, .shapes = {}, .columns = 0, .score = 0};
  std::map<std::size_t, std::ptrdiff_t> score_by_length;
  for (const std::string_view line : lines) {
    candidate.shapes.push_back(shape_of(line, style));
    const LineShape& shape = candidate.shapes.back();
    if (shape.row()) {
      score_by_length[shape.cells] +=
          static_cast<std::ptrdiff_t>(shape.numbers) - static_cast<std::ptrdiff_t>(shape.texts);
    }
  }
  for (const auto& [length, score] : score_by_length) {
    if (score > candidate.score) {
      candidate.score = score;
      candidate.columns = length;
    }
  }
  return candidate;
}

// Names are shown in notes: Latin-1 becomes UTF-8.
std::string in_utf8(std::string_view text) {
  const bool utf8 =
      text.find('\xC2') != std::string_view::npos || text.find('\xC3') != std::string_view::npos ||
      text.find('\xCE') != std::string_view::npos || text.find('\xCF') != std::string_view::npos ||
      text.find('\xE2') != std::string_view::npos;
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (utf8 || byte < 0x80U) {
      out += byte < 0x20U ? ' ' : c;
    } else {
      out += static_cast<char>(0xC0U | (byte >> 6U));
      out += static_cast<char>(0x80U | (byte & 0x3FU));
    }
  }
  return out;
}

std::vector<std::string> owned(const std::vector<std::string_view>& cells) {
  std::vector<std::string> names;
  names.reserve(cells.size());
  for (const std::string_view cell : cells) names.push_back(in_utf8(cell));
  return names;
}

std::string_view without_comment_sign(std::string_view line) {
  line = trimmed(line);
  while (!line.empty() && (line.front() == '#' || line.front() == '%' || line.front() == '!' ||
                           line.front() == '/' || line.front() == ';')) {
    line.remove_prefix(1);
  }
  return trimmed(line);
}

bool all_units(const std::vector<std::string_view>& cells) {
  std::size_t units = 0;
  for (std::string_view cell : cells) {
    if (cell.size() > 2 && (cell.front() == '[' || cell.front() == '(')) {
      cell = cell.substr(1, cell.size() - 2);
    }
    if (cell.empty() || cell == "-") continue;
    if (!unit_in(cell)) return false;
    ++units;
  }
  return units >= 2;
}

// The number before "Hz" in a line that speaks of a rate, or after "rate ... :" with Hz in it.
std::optional<double> rate_in(std::string_view line, char decimal) {
  std::string low(line);
  for (char& c : low) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  if (low.find("hz") == std::string::npos && low.find("samples/s") == std::string::npos) return {};
  if (low.find("rate") == std::string::npos && low.find("freq") == std::string::npos &&
      low.find("odr") == std::string::npos && low.find("fs") == std::string::npos) {
    return {};
  }
  for (std::size_t i = 0; i < low.size(); ++i) {
    if (!std::isdigit(static_cast<unsigned char>(low[i]))) continue;
    if (i > 0 && std::isalpha(static_cast<unsigned char>(low[i - 1]))) continue;
    std::size_t end = i;
    while (end < low.size() && (std::isdigit(static_cast<unsigned char>(low[end])) ||
                                low[end] == '.' || low[end] == decimal)) {
      ++end;
    }
    for (std::string_view digits = std::string_view(low).substr(i, end - i); !digits.empty();
         digits.remove_suffix(1)) {
      const std::optional<double> rate = number_in(digits, decimal);
      if (rate && *rate >= 1.0 && *rate <= 20000.0) return rate;
    }
    i = end;
  }
  return {};
}

// The first line from which on rows follow one another: two of it and the next three at least,
// so that a number in the preamble is not taken for a row.
std::size_t first_row_of(const Candidate& candidate) {
  const auto& shapes = candidate.shapes;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    if (!shapes[i].row() || shapes[i].cells != candidate.columns) continue;
    std::size_t looked_at = 0;
    std::size_t rows = 0;
    for (std::size_t j = i; j < shapes.size() && looked_at < 5; ++j) {
      if (shapes[j].blank || shapes[j].comment) continue;
      ++looked_at;
      if (shapes[j].row() && shapes[j].cells == candidate.columns) ++rows;
    }
    if (rows >= std::min<std::size_t>(3, looked_at)) return i;
  }
  return shapes.size();
}

void read_header(Dialect& dialect, const std::vector<std::string_view>& lines) {
  const char delimiter = dialect.style.delimiter;
  std::size_t above = dialect.first_row;
  const auto previous = [&]() -> std::vector<std::string_view> {
    while (above > 0) {
      --above;
      const std::string_view line = without_comment_sign(lines[above]);
      if (!line.empty()) return cells_of(line, delimiter);
    }
    return {};
  };
  // A trailing delimiter in one of header and rows makes them differ by one.
  const auto fits = [&](const std::vector<std::string_view>& cells) {
    if (cells.size() < 2 || cells.size() + 1 < dialect.columns ||
        cells.size() > dialect.columns + 1) {
      return false;
    }
    std::size_t numbers = 0;
    for (const std::string_view cell : cells) {
      if (number_in(cell, dialect.style.decimal)) ++numbers;
    }
    return numbers * 2 < cells.size();
  };

  std::vector<std::string_view> cells = previous();
  if (!fits(cells)) return;
  if (all_units(cells)) {
    const std::vector<std::string_view> names = previous();
    if (fits(names)) {
      dialect.units = owned(cells);
      cells = names;
    }
  }
  dialect.header = owned(cells);
  cells = previous();
  if (cells.size() + 1 >= dialect.columns && cells.size() <= dialect.columns + 1) {
    dialect.groups = owned(cells);
  }
}

// Twice as many cells in every row as in the header: "0,01,1,23" is 0.01 and 1.23.
bool decimals_part_cells(const Dialect& dialect, const std::vector<std::string_view>& lines) {
  if (dialect.style.delimiter != ',' || !dialect.header.empty() || dialect.first_row == 0) {
    return false;
  }
  for (std::size_t i = dialect.first_row; i-- > 0;) {
    const std::string_view line = without_comment_sign(lines[i]);
    if (line.empty()) continue;
    const std::size_t names = cells_of(line, ',').size();
    return names >= 3 && (dialect.columns == 2 * names || dialect.columns == 2 * names - 1);
  }
  return false;
}

}  // namespace

Dialect find_dialect(std::string_view head, const std::string& file) {
  const std::vector<std::string_view> lines = first_lines(head);
  static constexpr CellStyle kStyles[] = {{',', '.'},
                                          {';', '.'},
                                          {'\t', '.'},
                                          {';', ','},
                                          {'\t', ','},
                                          {'|', '.'},
                                          {'|', ','},
                                          {' ', '.'},
                                          {' ', ','},
                                          {',', ','}};
  const bool tabs = std::any_of(lines.begin(), lines.end(), [](std::string_view line) {
    return trimmed(line).find('\t') != std::string_view::npos;
  });
  Candidate best;
  for (const CellStyle& style : kStyles) {
    // Where there are tabs, spaces are inside the cells: "2026-11-25 15:11:42<tab>0.1".
    if (style.delimiter == ' ' && tabs && best.score > 0) continue;
    Candidate candidate = score_of(lines, style);
    if (candidate.score > best.score) best = std::move(candidate);
  }
  const std::size_t first_row = best.score <= 0 ? lines.size() : first_row_of(best);
  if (first_row == lines.size()) {
    throw Error(ErrorCode::kUnreadable,
                file,
                fmt::format("no rows of numbers were found in the first {} lines", lines.size()),
                "A log has one row a sample, with a time and three accelerations, or a time and a "
                "height; export it as CSV");
  }

  Dialect dialect;
  dialect.style = best.style;
  dialect.columns = best.columns;
  dialect.first_row = first_row;
  read_header(dialect, lines);
  if (decimals_part_cells(dialect, lines)) {
    throw Error(ErrorCode::kUnreadable,
                fmt::format("{}:{}", file, first_row + 1),
                "the comma stands both for the decimal point and between the cells, and the two "
                "cannot be told apart",
                "Export with semicolons or tabs between the cells, or with decimal points");
  }
  for (std::size_t i = 0; i < first_row && !dialect.stated_rate_hz; ++i) {
    dialect.stated_rate_hz = rate_in(lines[i], dialect.style.decimal);
  }
  return dialect;
}

}  // namespace kinetics::sensor_detail
