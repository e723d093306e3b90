#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sensor/cells.h"

/// How a log is laid out: what parts its cells, where its rows begin, what stands above them.

namespace kinetics::sensor_detail {

struct Dialect {
  CellStyle style;
  std::size_t columns = 0;          ///< cells of an ordinary row
  std::size_t first_row = 0;        ///< index of the first data line in the text, from 0
  std::vector<std::string> header;  ///< one name a column; empty when there is no header
  std::vector<std::string> groups;  ///< what stands above the header, where it has as many cells
  std::vector<std::string> units;   ///< the cells of a row of units below the header
  std::optional<double> stated_rate_hz;  ///< "sample rate: 104 Hz" in the lines above the rows
};

/// Finds the layout from the first lines of a log. Errors: throws Error{kUnreadable} naming `file`
/// when no rows of numbers are found, or when decimal comma and delimiter cannot be told apart.
[[nodiscard]] Dialect find_dialect(std::string_view head, const std::string& file);

}  // namespace kinetics::sensor_detail
