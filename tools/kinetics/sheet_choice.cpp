#include "tools/kinetics/sheet_choice.h"

#include <utility>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/session/use_plan.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/sheet/sheet.h"

namespace kinetics::cli {
void use_typed(const SheetChoice& choice, AnalysisOptions& options) {
  Thresholds& thresholds = options.thresholds;
  if (choice.slowed_loss) thresholds.slowed_loss = *choice.slowed_loss;
  if (choice.below_expected_mps) thresholds.below_expected_mps = *choice.below_expected_mps;
  if (choice.zone) thresholds.zone = choice.zone;
  if (choice.high_bottom_m) thresholds.high_bottom_m = *choice.high_bottom_m;
  if (choice.uneven_pause_s) thresholds.uneven_pause_s = *choice.uneven_pause_s;
  options.reps.slowed_loss = thresholds.slowed_loss;
}

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
    use_planned(std::move(planned), options);
  }
  use_typed(choice, options);
  return notes;
}

}  // namespace kinetics::cli
