#include "tools/workbench/set_choice.h"

#include <array>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/sheet/csv_table.h"
#include "libkinetics/sheet/sheet.h"

namespace kinetics::workbench {
namespace {

constexpr const char* kTyped = "as typed";

/// A key of the request and the heading of a sheet that means the same.
struct TypedField {
  const char* key;
  const char* heading;
};
constexpr std::array kTypedFields{TypedField{"lifter", "lifter"},
                                  TypedField{"lift", "lift"},
                                  TypedField{"bar", "bar"},
                                  TypedField{"box_height_cm", "box height (cm)"},
                                  TypedField{"load_kg", "load (kg)"},
                                  TypedField{"load_lb", "load (lb)"},
                                  TypedField{"chains", "chains"},
                                  TypedField{"bands", "bands"},
                                  TypedField{"set", "set"},
                                  TypedField{"time", "time"},
                                  TypedField{"reps", "reps"},
                                  TypedField{"notes", "notes"}};

std::string cell_of(const Json& value) {
  if (value.is_string()) return value.get<std::string>();
  if (value.is_number_integer()) return fmt::format("{}", value.get<long long>());
  if (value.is_number()) return fmt::format("{}", value.get<double>());
  return "";
}

/// What was typed as a sheet of one row, read by the reader of sheets.
Sheet typed_sheet(const Json& set) {
  CsvTable table;
  table.rows.resize(2);
  for (const TypedField& field : kTypedFields) {
    if (!set.contains(field.key) || set[field.key].is_null()) continue;
    table.rows[0].emplace_back(field.heading);
    table.rows[1].push_back(cell_of(set[field.key]));
  }
  SheetReading reading = parse_sheet(to_text(table), kTyped);
  if (!reading.problems.empty()) {
    const SheetProblem& first = reading.problems.front();
    throw kinetics::Error(
        ErrorCode::kUsage, kTyped + (", " + first.column), first.what, first.mend);
  }
  if (reading.sheet.rows.empty()) {
    throw kinetics::Error(
        ErrorCode::kUsage, kTyped, "the set is not complete", "Give lifter, lift and load");
  }
  return std::move(reading.sheet);
}

}  // namespace

std::optional<Roster> roster_in(const Folder& folder) {
  std::error_code failed;
  if (!std::filesystem::exists(folder.roster(), failed)) return std::nullopt;
  return parse_roster(text_in(folder.roster()), folder.roster().filename().string());
}

std::optional<PlannedSet> planned_set(const Folder& folder,
                                      const Json& set,
                                      const std::string& recording) {
  if (set.is_null()) return std::nullopt;
  if (!set.is_object()) refuse_key("set", "it is of the wrong kind");
  const std::optional<Roster> roster = roster_in(folder);
  const Roster* const club = roster ? &*roster : nullptr;
  if (!set.contains("sheet")) {
    const Sheet typed = typed_sheet(set);
    return plan_set(typed, typed.rows.front(), club);
  }
  const auto name = needed<std::string>(set, "sheet");
  const auto row = value_or<int>(set, "row", 0);
  const Sheet sheet = read_sheet(folder.sheet(name).string());
  PlannedSet planned = plan_set(
      sheet, choose_row(sheet, row > 0 ? std::optional(row) : std::nullopt, recording), club);
  planned.notes.insert(planned.notes.begin(), sheet.notes.begin(), sheet.notes.end());
  return planned;
}

}  // namespace kinetics::workbench
