#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/sensor/head_table.h"
#include "libkinetics/sensor/units.h"

/// What the stamps of a column are: their unit, how even and how fine they are.

namespace kinetics::sensor_detail {

/// How a column of times is read.
struct TimeColumn {
  double to_s = 1.0;  ///< seconds in one of the column
  Unit unit;
  bool written = false;     ///< dates or clock readings, not numbers
  bool wall_clock = false;  ///< counts from 1970-01-01 UTC
  bool unit_from_header = false;
  bool unit_contradicts_header = false;
  double step_s = 0.0;        ///< time from row to row
  double resolution_s = 0.0;  ///< smallest step the stamps can show
  /// Several rows share a stamp, or the stamps are coarse beside the step: rows are laid out evenly
  /// between them.
  bool coarse = false;
  double group_s = 0.0;    ///< usual time from one new stamp to the next
  bool goes_back = false;  ///< in more than one row of a hundred
  double distinct = 0.0;   ///< different stamps, as a share of the rows
};

/// Surveys a column. None when it cannot be the time of these rows: it does not grow, or in no
/// unit it makes between 3 and 2500 rows a second. `header_unit` may be empty; `insist` takes it
/// whatever the rate that follows.
[[nodiscard]] std::optional<TimeColumn> survey_times(const HeadColumn& column,
                                                     const Unit& header_unit,
                                                     bool insist = false);

}  // namespace kinetics::sensor_detail
