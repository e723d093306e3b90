#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/sensor/choose_columns.h"
#include "libkinetics/sensor/dialect.h"
#include "libkinetics/sensor/head_table.h"
#include "libkinetics/sensor/log_text.h"
#include "libkinetics/sensor/read_log.h"
#include "libkinetics/sensor/time_column.h"

/// Everything that is decided about a log before its rows are read in bulk.

namespace kinetics::sensor_detail {

/// Where the numbers of a row go: time, up to three vectors or one height, and what a second column
/// adds to the time.
enum Slot : std::size_t {
  kTimeSlot = 0,
  kMainSlot = 1,
  kGyroSlot = 4,
  kGravitySlot = 7,
  kFractionSlot = 10,
  kSlots = 11
};

enum class Content { kAcceleration, kRotationRate, kHeight };

struct LogPlan {
  std::string file;
  Dialect dialect;
  Content content = Content::kAcceleration;
  /// For each slot its column; none where the log has no such number.
  std::array<std::optional<std::size_t>, kSlots> column_of;
  RowFilter filter;
  std::optional<TimeColumn> time;  ///< none: the rows are even
  double step_s = 0.0;             ///< time from row to row
  /// Reading of the clock that row times count from. Taken off before anything else, for a double
  /// of seconds since 1970 has lost its microseconds.
  double origin = 0.0;
  double origin_s = 0.0;          ///< the same in seconds
  std::size_t rows_expected = 0;  ///< in the whole file, by its size; 0 when not known
  bool has_gyroscope = false;     ///< in the same rows
  /// Acceleration and rotation rate stand in rows of their own: those of the second kind are read
  /// in another pass, with this.
  std::optional<RowFilter> gyroscope_rows;
  double fraction_to_s = 0.0;  ///< of the column that holds the fractions of whole seconds
  bool main_in_counts = false;
  double main_to_si = 1.0;
  double gyro_to_si = 1.0;
  double started_unix_s = 0.0;
  Notes notes;
};

/// Decides how to read the rows of `text`. `only` narrows it to some of them.
/// Errors: as read_log().
[[nodiscard]] LogPlan plan_log(const LogText& text,
                               const LogOptions& options,
                               Wanted wanted,
                               const RowFilter* only = nullptr);

}  // namespace kinetics::sensor_detail
