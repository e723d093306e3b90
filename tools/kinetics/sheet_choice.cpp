#include "tools/kinetics/sheet_choice.h"

#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/sheet/sheet.h"

namespace kinetics::cli {
namespace {

void use(PlannedSet planned, AnalysisOptions& options) {
  options.loading.load = std::move(planned.load);
  options.loading.bar_height_at_bottom_m = planned.bottom_height_m;
  options.loading.bar_height_at_lockout_m = planned.lockout_height_m;
  if (planned.height_sigma_m > 0.0) options.loading.height_sigma_m = planned.height_sigma_m;
  options.thresholds = planned.thresholds;
  if (options.held_on.day.empty() && !planned.held_on.empty()) {
    options.held_on = {
        .day = planned.held_on,
        .told_by = fmt::format("row {} of {}", planned.plan.row, planned.plan.sheet)};
  }
  options.plan = std::move(planned.plan);
}

void use_typed(const SheetChoice& choice, AnalysisOptions& options) {
  Thresholds& thresholds = options.thresholds;
  if (choice.slowed_loss) thresholds.slowed_loss = *choice.slowed_loss;
  if (choice.below_expected_mps) thresholds.below_expected_mps = *choice.below_expected_mps;
  if (choice.zone) thresholds.zone = choice.zone;
  if (choice.high_bottom_m) thresholds.high_bottom_m = *choice.high_bottom_m;
  if (choice.uneven_pause_s) thresholds.uneven_pause_s = *choice.uneven_pause_s;
  options.reps.slowed_loss = thresholds.slowed_loss;
}

}  // namespace

Notes use_sheet(const SheetChoice& choice, const std::string& input, AnalysisOptions& options) {
  Notes notes;
  std::optional<Roster> roster;
  if (choice.roster) {
    roster = read_roster(*choice.roster);
    options.thresholds = roster->thresholds;
  }
  if (choice.row && !choice.sheet) {
    throw Error(
        ErrorCode::kUsage, "--row", "there is no sheet to take a row of", "Add --sheet FILE");
  }
  if (choice.sheet) {
    const Sheet sheet = read_sheet(*choice.sheet);
    const SheetRow& row = choose_row(sheet, choice.row, input);
    PlannedSet planned = plan_set(sheet, row, roster ? &*roster : nullptr);
    notes = std::move(planned.notes);
    notes.insert(notes.begin(), sheet.notes.begin(), sheet.notes.end());
    use(std::move(planned), options);
  }
  use_typed(choice, options);
  return notes;
}

}  // namespace kinetics::cli
