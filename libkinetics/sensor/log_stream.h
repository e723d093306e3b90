#pragma once

#include <cstddef>
#include <functional>
#include <span>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/sensor/log_plan.h"
#include "libkinetics/sensor/log_text.h"
#include "libkinetics/sensor/row_parser.h"

/// Rows of a log from its text to their times, block by block.

namespace kinetics::sensor_detail {

struct StreamResult {
  std::size_t rows = 0;
  double stamp_sigma_s = 0.0;  ///< of rows that were laid out evenly; 0 otherwise
  Notes notes;                 ///< what was left out or moved
};

/// Reads all rows that `plan` is about and hands them to `take`, in order of time, times strictly
/// increasing on the log's own clock. Errors: as read_log().
[[nodiscard]] StreamResult stream_rows(LogText& text,
                                       const LogPlan& plan,
                                       const Progress& progress,
                                       const std::function<void(std::span<const LogRow>)>& take);

}  // namespace kinetics::sensor_detail
