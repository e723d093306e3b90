#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/report/set_figures.h"
#include "libkinetics/roster/thresholds.h"
#include "libkinetics/speed_day/day_session.h"

/// A day put in order for its reports: one lifter after the other, each set a column. Internal to
/// the room.

namespace kinetics::day_view {

enum class ColumnKind {
  kSeen,    ///< a set of the recording that is a row of the sheet
  kMissed,  ///< a row without a set
  kExtra,   ///< a set without a row
};

enum class Slowed { kNo, kMaybe, kYes };

struct RepMark {
  bool full = true;
  Measured mean_mps;
  Slowed slowed = Slowed::kNo;
};

struct DayColumn {
  ColumnKind kind = ColumnKind::kSeen;
  std::string label;     ///< the set's number on the sheet, else the lifter's so many-th: "3"
  int row = 0;           ///< of the sheet, as a spreadsheet numbers it; 0 of an extra set
  int recorded = 0;      ///< DaySet::number; 0 of a missed row
  std::string time;      ///< "17:05"
  std::size_t work = 0;  ///< index into DayView::works
  std::string load;      ///< as written down, without its unit: "92.5"
  std::optional<VelocityBand> zone;
  std::optional<int> planned_reps;
  std::vector<RepMark> reps;
  SetFigures figures;
  std::string match;  ///< "certain", "likely", …; "missed"
};

struct LifterDay {
  std::string lifter;              ///< empty for sets that are nobody's
  std::vector<DayColumn> columns;  ///< as the sheet has them in time
};

struct DayView {
  /// What can be compared, in words: one lift with one bar, box and set of chains and bands.
  std::vector<std::string> works;
  std::vector<LifterDay> lifters;  ///< as they first come on the sheet; what is nobody's last
};

[[nodiscard]] DayView view_of(const DaySession& day);

}  // namespace kinetics::day_view
