#include "libkinetics/speed_day/day_session.h"

namespace kinetics {

const SheetRow* sheet_row_of(const DaySession& day, const DayRow& row) {
  for (const SheetRow& candidate : day.sheet.rows) {
    if (candidate.row == row.row) return &candidate;
  }
  return nullptr;
}

}  // namespace kinetics
