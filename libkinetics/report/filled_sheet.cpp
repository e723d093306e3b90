#include "libkinetics/report/filled_sheet.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/day_words.h"
#include "libkinetics/report/set_figures.h"

namespace kinetics {
namespace {

using Cells = std::vector<std::string>;

constexpr std::size_t kAdded = 17;
constexpr std::size_t kMatch = 14;
constexpr std::string_view kExtra = "extra set";
constexpr std::string_view kMissed = "missed";
constexpr double kPercent = 100.0;

std::array<std::string, kAdded> headings(const LoadUnit& unit) {
  return {"recorded set",
          "begins",
          "reps done",
          "fastest (m/s)",
          "fastest ± (m/s)",
          "mean (m/s)",
          "last rep (m/s)",
          "last rep ± (m/s)",
          "loss (%)",
          "loss ± (%)",
          fmt::format("bottom load ({})", unit.name),
          fmt::format("mean load ({})", unit.name),
          fmt::format("top load ({})", unit.name),
          "flags",
          "match",
          "or else",
          "source"};
}

std::string cell_of(const CsvTable& table, std::size_t row, std::optional<std::size_t> column) {
  if (!column || *column >= table.rows[row].size()) return "";
  return table.rows[row][*column];
}

std::optional<std::size_t> column_of(const Sheet& sheet, SheetField field) {
  return sheet.columns.at(static_cast<std::size_t>(field));
}

/// As the sheet's own loads are written; where none has a fraction, semicolons stand for programs
/// that write commas in numbers.
bool has_decimal_commas(const Sheet& sheet) {
  for (const SheetRow& row : sheet.rows) {
    const std::string load = cell_of(
        sheet.table, static_cast<std::size_t>(row.row) - 1, column_of(sheet, SheetField::kLoad));
    if (load.find(',') != std::string::npos) return true;
    if (load.find('.') != std::string::npos) return false;
  }
  return sheet.table.delimiter == ';';
}

class Filling {
 public:
  explicit Filling(const DaySession& day)
      : day_(day),
        table_(day.sheet.table),
        unit_(load_unit(day_view::unit_of(day))),
        decimal_commas_(has_decimal_commas(day.sheet)) {
    place_columns();
  }

  [[nodiscard]] CsvTable table() {
    drop_old_extra_rows();
    for (const SheetRow& row : day_.sheet.rows) {
      put(static_cast<std::size_t>(row.row) - 1, std::array<std::string, kAdded>{});
    }
    for (const std::size_t row : day_.missed) {
      std::array<std::string, kAdded> cells;
      cells[kMatch] = kMissed;
      put(table_row(row), cells);
    }
    for (const DaySet& set : day_.sets) {
      if (set.match.row) put(table_row(*set.match.row), measured(set));
    }
    for (const DaySet& set : day_.sets) {
      if (!set.match.row) add_extra_row(set);
    }
    return std::move(table_);
  }

 private:
  [[nodiscard]] std::size_t table_row(std::size_t row) const {
    return static_cast<std::size_t>(day_.rows.at(row).row) - 1;
  }

  /// Behind the widest row, or where an earlier filling put all of them: a single heading of the
  /// same words may be the coach's own.
  void place_columns() {
    const Cells& heads = table_.rows[day_.sheet.heading_row];
    std::size_t first = 0;
    for (const Cells& cells : table_.rows) first = std::max(first, cells.size());
    for (const MassUnit unit : {MassUnit::kKilogram, MassUnit::kPound}) {
      const auto old = headings(load_unit(unit));
      const auto there = std::search(heads.begin(), heads.end(), old.begin(), old.end());
      if (there != heads.end()) first = static_cast<std::size_t>(there - heads.begin());
    }
    for (std::size_t i = 0; i < kAdded; ++i) columns_[i] = first + i;
    put(day_.sheet.heading_row, headings(unit_));
  }

  void put(std::size_t row, const std::array<std::string, kAdded>& cells) {
    Cells& into = table_.rows.at(row);
    for (std::size_t i = 0; i < kAdded; ++i) {
      if (into.size() <= columns_[i]) into.resize(columns_[i] + 1);
      into[columns_[i]] = cells[i];
    }
  }

  /// Rows that an earlier filling added and nobody filled in since. They stand at the end.
  void drop_old_extra_rows() {
    const auto lifter = column_of(day_.sheet, SheetField::kLifter);
    while (table_.rows.size() > day_.sheet.heading_row + 1) {
      const std::size_t last = table_.rows.size() - 1;
      const bool is_read =
          std::any_of(day_.sheet.rows.begin(), day_.sheet.rows.end(), [&](const SheetRow& row) {
            return static_cast<std::size_t>(row.row) - 1 == last;
          });
      if (is_read || cell_of(table_, last, lifter) != kExtra) return;
      table_.rows.pop_back();
    }
  }

  void add_extra_row(const DaySet& set) {
    table_.rows.emplace_back();
    Cells& cells = table_.rows.back();
    const std::size_t lifter = column_of(day_.sheet, SheetField::kLifter).value_or(0);
    cells.resize(lifter + 1);
    cells[lifter] = kExtra;
    put(table_.rows.size() - 1, measured(set));
  }

  [[nodiscard]] std::string number(double value, int decimals) const {
    std::string out = fmt::format("{:.{}f}", value, decimals);
    if (decimal_commas_) std::replace(out.begin(), out.end(), '.', ',');
    return out;
  }
  [[nodiscard]] std::string value(const Measured& m, double factor, int decimals) const {
    return m.ok() ? number(factor * m.value(), decimals) : "";
  }
  [[nodiscard]] std::string half_width(const Measured& m, double factor, int decimals) const {
    return m.ok() ? number(factor * kNormal95 * m.sigma(), decimals) : "";
  }

  [[nodiscard]] std::array<std::string, kAdded> measured(const DaySet& set) const {
    const SetFigures f = set_figures(set.session);
    std::vector<std::string> others = day_view::alternatives_in_words(day_, set);
    if (!set.match.row && set.match.like) {
      others.insert(others.begin(),
                    fmt::format("moves like {}", day_.rows.at(*set.match.like).lifter));
    }
    return {fmt::format("{}", set.number),
            day_view::begin_of(set),
            fmt::format("{}", f.reps),
            value(f.fastest_mps, 1.0, 3),
            half_width(f.fastest_mps, 1.0, 3),
            value(f.mean_mps, 1.0, 3),
            value(f.last_mps, 1.0, 3),
            half_width(f.last_mps, 1.0, 3),
            value(f.loss, kPercent, 1),
            half_width(f.loss, kPercent, 1),
            value(f.bottom_load_kg, unit_.a_kg, 1),
            value(f.mean_load_kg, unit_.a_kg, 1),
            value(f.top_load_kg, unit_.a_kg, 1),
            day_view::flags_in_words(f.flags),
            day_view::match_in_words(set),
            fmt::format("{}", fmt::join(others, "; ")),
            set.recording};
  }

  const DaySession& day_;
  CsvTable table_;
  LoadUnit unit_;
  bool decimal_commas_;
  std::array<std::size_t, kAdded> columns_{};
};

}  // namespace

std::string filled_sheet(const DaySession& day) {
  return to_text(Filling(day).table());
}

}  // namespace kinetics
