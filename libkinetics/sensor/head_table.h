#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sensor/dialect.h"

/// The first rows of a log as numbers, column by column: what all decisions are made from.

namespace kinetics::sensor_detail {

struct HeadColumn {
  std::vector<double> values;  ///< NaN where the cell holds no number or time
  std::size_t numbers = 0;
  std::size_t stamps = 0;  ///< written times; `values` holds their seconds
  std::size_t missing = 0;
  std::size_t texts = 0;
  int decimals = 0;  ///< most digits seen behind the decimal sign
  bool whole_numbers = true;
  bool stamps_have_date = false;
  bool stamps_have_zone = false;
  std::string first;                ///< the first cell that says something
  std::vector<std::string> labels;  ///< different texts seen, nine at most

  /// Holds numbers or times in nearly all rows.
  [[nodiscard]] bool numeric() const { return numbers + stamps > 9 * (texts + missing); }
  /// Holds numbers or times, with holes and some scraps of text.
  [[nodiscard]] bool has_numbers() const { return numbers + stamps > texts; }
};

struct HeadTable {
  std::vector<HeadColumn> columns;
  std::size_t rows = 0;
  std::size_t head_bytes = 0;  ///< of text that was read for them
};

/// Which rows of a file are meant, where it holds those of several sensors.
struct RowFilter {
  std::optional<std::size_t> label_column;  ///< only rows with `label` in it
  std::string label;
  std::vector<std::size_t> present;  ///< only rows with something in each of these columns
};

/// Reads up to 60,000 rows from `head`, which begins with the log's first line.
[[nodiscard]] HeadTable read_head(std::string_view head,
                                  const Dialect& dialect,
                                  const RowFilter& filter = {});

}  // namespace kinetics::sensor_detail
