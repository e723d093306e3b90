#include "libkinetics/sheet/new_sheet.h"

#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/sheet/csv_table.h"
#include "libkinetics/sheet/sheet_columns.h"

namespace kinetics {
namespace {

constexpr double kCentimetres = 100.0;

std::vector<std::string> headings(MassUnit unit) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < kSheetFields; ++i) {
    const auto field = static_cast<SheetField>(i);
    std::string word(sheet_detail::word_for(field));
    if (field == SheetField::kBoxHeight) word += " (cm)";
    if (field == SheetField::kLoad) word += unit == MassUnit::kPound ? " (lb)" : " (kg)";
    out.push_back(std::move(word));
  }
  return out;
}

}  // namespace

std::string new_sheet(const Roster& roster) {
  CsvTable table;
  table.byte_order_mark = true;
  table.carriage_returns = true;
  table.rows.push_back(headings(roster.unit));
  for (const Lifter& lifter : roster.lifters) {
    for (const LifterLift& lift : lifter.lifts) {
      std::vector<std::string> row(kSheetFields);
      const auto cell = [&](SheetField field) -> std::string& {
        return row[static_cast<std::size_t>(field)];
      };
      cell(SheetField::kLifter) = lifter.name;
      cell(SheetField::kLift) = lift.lift;
      cell(SheetField::kBar) = lift.bar.value_or("");
      if (lift.box_height_m) {
        cell(SheetField::kBoxHeight) = fmt::format("{:g}", kCentimetres * *lift.box_height_m);
      }
      table.rows.push_back(std::move(row));
    }
  }
  return to_text(table);
}

}  // namespace kinetics
