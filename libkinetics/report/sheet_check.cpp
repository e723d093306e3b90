#include "libkinetics/report/sheet_check.h"

#include <algorithm>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/load_words.h"
#include "libkinetics/sheet/plan_set.h"

namespace kinetics {
namespace {

constexpr std::string_view kRowFormat = "{:>3}  {}  {}  {:>8} {:>8} {:>8}\n";
constexpr std::size_t kNameColumns = 20;
constexpr std::size_t kLiftColumns = 24;

/// Exactly `columns` wide as shown.
std::string fitted(const std::string& text, std::size_t columns) {
  std::string out = printable(text);
  while (shown_width(out) > columns) {
    do {
      out.pop_back();
    } while (!out.empty() && (static_cast<unsigned char>(out.back()) & 0xC0U) == 0x80U);
  }
  return out + std::string(columns - shown_width(out), ' ');
}

struct KnownLoads {
  std::optional<double> bottom_kg;
  std::optional<double> top_kg;
};

KnownLoads loads_of(const PlannedSet& set) {
  const BarLoad& load = set.load;
  const bool straight = load.chains.empty() && load.bands.empty();
  const auto at = [&](std::optional<double> height_m) -> std::optional<double> {
    if (straight) height_m = 0.0;
    if (!height_m) return std::nullopt;
    return load_at(load, *height_m).weight_n / load.gravity_mps2;
  };
  return {.bottom_kg = at(set.bottom_height_m), .top_kg = at(set.lockout_height_m)};
}

std::string kilograms(const std::optional<double>& value) {
  return value ? fmt::format("{:.1f}", *value) : "-";
}

void add_new(Notes& all, const Notes& more) {
  for (const Note& note : more) {
    if (std::find(all.begin(), all.end(), note) == all.end()) all.push_back(note);
  }
}

/// What to add to the roster for the end of a lift whose load is not known, each once.
void add_wanted(std::vector<std::string>& all, const KnownLoads& loads, const SetPlan& plan) {
  const auto add = [&](const char* key) {
    std::string text = fmt::format("{} to the {} of {}", key, plan.lift, plan.lifter);
    if (std::find(all.begin(), all.end(), text) == all.end()) all.push_back(std::move(text));
  };
  if (!loads.bottom_kg) add("bottom_height_cm");
  if (!loads.top_kg) add("lockout_height_cm");
}

std::string footnote(const std::vector<std::string>& wanted) {
  if (wanted.empty()) return "";
  return wrapped(printable(fmt::format("-: chains and bands are not known there without the bar's "
                                       "height above the floor. Add to the roster: {}.",
                                       fmt::join(wanted, "; "))),
                 kTableColumns,
                 "",
                 "   ") +
         "\n";
}

std::string row_in_words(const SheetRow& row,
                         const PlannedSet& set,
                         Notes& cautions,
                         std::vector<std::string>& wanted) {
  const KnownLoads loads = loads_of(set);
  add_wanted(wanted, loads, set.plan);
  if (loads.top_kg) {
    std::optional<LiftHeights> heights;
    if (set.bottom_height_m && set.lockout_height_m) {
      heights = LiftHeights{.bottom_m = *set.bottom_height_m, .top_m = *set.lockout_height_m};
    }
    add_new(cautions, load_cautions(set.load, *loads.top_kg, heights, set.plan.limits));
  }
  std::string lift = set.plan.lift;
  if (row.set) lift += fmt::format(", set {}", *row.set);
  return fmt::format(fmt::runtime(kRowFormat),
                     row.row,
                     fitted(set.plan.lifter, kNameColumns),
                     fitted(lift, kLiftColumns),
                     fmt::format("{:.1f}", row.load_kg),
                     kilograms(loads.bottom_kg),
                     kilograms(loads.top_kg));
}

std::string heading() {
  return fmt::format(fmt::runtime(kRowFormat),
                     "Row",
                     fitted("Lifter", kNameColumns),
                     fitted("Lift", kLiftColumns),
                     "On sheet",
                     "Bottom",
                     "Top") +
         fmt::format(fmt::runtime(kRowFormat),
                     "",
                     fitted("", kNameColumns),
                     fitted("", kLiftColumns),
                     "kg",
                     "kg",
                     "kg");
}

std::string said(const Notes& notes) {
  std::string text;
  for (const Note& note : notes) {
    const std::string lead = note.kind == NoteKind::kCaution ? "Caution: " : "Note: ";
    text += wrapped(lead + printable(note.text), kTableColumns, "", "  ");
  }
  return text;
}

}  // namespace

SheetVerdict check_in_words(const SheetReading& reading, const Roster& roster) {
  const Sheet& sheet = reading.sheet;
  std::vector<SheetProblem> problems = reading.problems;
  const SheetCheck check = check_sheet(sheet, roster);
  problems.insert(problems.end(), check.problems.begin(), check.problems.end());
  std::stable_sort(
      problems.begin(), problems.end(), [](const auto& a, const auto& b) { return a.row < b.row; });

  std::string rows;
  std::vector<std::string> wanted;
  Notes notes = sheet.notes;
  add_new(notes, check.notes);
  for (const SheetRow& row : sheet.rows) {
    const bool good = std::none_of(
        problems.begin(), problems.end(), [&](const SheetProblem& p) { return p.row == row.row; });
    if (good) rows += row_in_words(row, plan_set(sheet, row, &roster), notes, wanted);
  }
  SheetVerdict out{.text = "", .problems = problems.size()};
  if (!rows.empty()) out.text += heading() + rows + "\n" + footnote(wanted);
  for (const SheetProblem& problem : problems) {
    out.text += wrapped(printable(as_error(problem, sheet.file).what()), kTableColumns, "", "  ");
  }
  out.text += fmt::format("{} set{} read", sheet.rows.size(), sheet.rows.size() == 1 ? "" : "s");
  if (sheet.rows_to_fill > 0) {
    out.text += fmt::format(
        ", {} row{} to fill in", sheet.rows_to_fill, sheet.rows_to_fill == 1 ? "" : "s");
  }
  out.text += ".\n" + said(notes);
  return out;
}

}  // namespace kinetics
