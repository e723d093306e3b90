#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/sensor/choose_columns.h"
#include "libkinetics/sensor/column_meaning.h"
#include "libkinetics/sensor/head_table.h"
#include "libkinetics/sensor/time_column.h"

/// Which of a log's clocks its rows are timed by.

namespace kinetics::sensor_detail {

struct ChosenTime {
  std::size_t column = 0;
  TimeColumn time;
  std::optional<std::size_t> fraction;  ///< a column whose fractions are added to whole seconds
  double fraction_to_s = 0.0;
};

/// Of several clocks, one that does not go back; then the one with most different stamps; then one
/// that is not coarse, then the finer, then the leftmost. `given` is the user's unit, if any.
[[nodiscard]] std::optional<ChosenTime> choose_time(const HeadTable& table,
                                                    const Columns& columns,
                                                    const std::vector<Meaning>& meanings,
                                                    const Unit& given);

/// The wall clock of the first row, from whichever column has it; 0 when none has.
[[nodiscard]] double started_unix_s(const HeadTable& table,
                                    const Columns& columns,
                                    const std::vector<Meaning>& meanings,
                                    const std::optional<ChosenTime>& chosen);

/// The first number of a column, 0 when there is none.
[[nodiscard]] double first_number(const HeadColumn& column);

}  // namespace kinetics::sensor_detail
