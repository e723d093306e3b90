#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/sensor/column_meaning.h"
#include "libkinetics/sensor/decide_units.h"
#include "libkinetics/sensor/dialect.h"
#include "libkinetics/sensor/head_table.h"

/// Which column is what.

namespace kinetics::sensor_detail {

/// What is looked for in a file.
enum class Wanted {
  kAnything,  ///< acceleration, else a height
  kRotationRate,
};

/// The columns in use, and the units their names state.
struct Columns {
  std::vector<std::size_t> times;  ///< candidates
  std::optional<std::size_t> date;
  std::optional<std::size_t> index;
  std::optional<Triple> accel;
  std::optional<Triple> gravity;  ///< to be added to `accel`, which then lacks it
  std::optional<Triple> gyro;
  std::optional<std::size_t> height;
  bool linear = false;  ///< `accel` is said to be without gravity
  Unit accel_unit;
  Unit gyro_unit;
  Unit height_unit;
  bool given = false;  ///< by the user
  Notes notes;
};

/// Reads LogOptions::columns. Errors: throws Error{kUsage}.
[[nodiscard]] Columns given_columns(const std::string& text,
                                    const std::vector<Meaning>& meanings,
                                    Wanted wanted);

/// Chooses by the header's words and, where they are silent, by the numbers. Errors: throws
/// Error{kUnreadable} naming `where` when there is neither acceleration nor height (or no rotation
/// rate, when that is wanted).
[[nodiscard]] Columns choose_columns(const Dialect& dialect,
                                     const HeadTable& table,
                                     const std::vector<Meaning>& meanings,
                                     Wanted wanted,
                                     const std::string& where);

}  // namespace kinetics::sensor_detail
