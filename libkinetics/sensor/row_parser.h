#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sensor/log_plan.h"

/// Turns lines into numbers, fast where they are as expected and carefully where they are not.

namespace kinetics::sensor_detail {

/// One row in SI units on the log's own clock.
struct LogRow {
  double t_s = 0.0;
  std::array<double, 6> values{};  ///< main vector or height, then the rotation rate
  std::size_t line = 0;            ///< from 1
};

/// The first of some rows that were left out, and how many there were.
struct LeftOut {
  std::size_t rows = 0;
  std::size_t line = 0;
  std::string reason;
};

class RowParser {
 public:
  explicit RowParser(const LogPlan& plan);

  /// Parses a block of whole lines, the next in the file, and appends its rows. Throws
  /// Error{kUnreadable} as soon as too many rows are wrong.
  void parse(std::string_view block, std::vector<LogRow>& rows);
  /// At the end. `open_end`: the last line had no line end.
  void finish(bool open_end);

  [[nodiscard]] std::size_t rows() const { return rows_; }
  [[nodiscard]] const LeftOut& wrong() const { return wrong_; }
  [[nodiscard]] const LeftOut& missing() const { return missing_; }
  [[nodiscard]] const LeftOut& repeated_headers() const { return headers_; }
  [[nodiscard]] bool cut_short() const { return cut_short_; }

 private:
  enum Use : int { kSkip = -1, kLabel = -2 };

  bool parse_fast(const char* at, const char* end, LogRow& row);
  void parse_slowly(std::string_view line, std::vector<LogRow>& rows);
  const char* read_cell(const char* at, const char* end, int use);
  bool accept(LogRow& row, std::string& reason);
  void leave_out(LeftOut& tally, std::string reason) const;
  [[nodiscard]] std::string name_of(std::size_t column) const;
  void refuse_if_useless(std::size_t allowed) const;

  const LogPlan& plan_;
  char delimiter_;
  char decimal_;
  std::vector<int> uses_;  // by column: a slot, or kSkip, kLabel
  std::array<double, kSlots> cells_{};
  std::size_t line_ = 0;
  std::size_t rows_ = 0;
  std::size_t last_wrong_line_ = 0;
  LeftOut wrong_;
  LeftOut missing_;
  LeftOut headers_;
  bool cut_short_ = false;
};

}  // namespace kinetics::sensor_detail
