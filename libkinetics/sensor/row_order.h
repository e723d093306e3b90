#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/sensor/log_plan.h"
#include "libkinetics/sensor/row_parser.h"

/// Puts rows in order of time: counters that run over are carried on, rows that were written a
/// little late are sorted in, stray stamps are dropped.

namespace kinetics::sensor_detail {

class RowOrder {
 public:
  explicit RowOrder(const LogPlan& plan) : plan_(plan) {}

  /// Takes rows in the order of the file and appends to `sorted` those whose place is certain.
  /// Throws Error{kUnreadable} when time goes back for good.
  void add(const std::vector<LogRow>& rows, std::vector<LogRow>& sorted);
  void finish(std::vector<LogRow>& sorted);

  [[nodiscard]] const LeftOut& moved() const { return moved_; }
  [[nodiscard]] const LeftOut& stray() const { return stray_; }
  [[nodiscard]] std::size_t overruns() const { return overruns_; }

 private:
  void carry_on(LogRow& row);
  void insert(const LogRow& row);

  const LogPlan& plan_;
  std::vector<LogRow> held_;  // sorted; the last of them may still move
  double offset_s_ = 0.0;
  double previous_s_ = 0.0;
  bool begun_ = false;
  double emitted_s_ = -1e300;
  std::size_t late_in_a_row_ = 0;
  LogRow first_late_;
  std::size_t overruns_ = 0;
  LeftOut moved_;
  LeftOut stray_;
};

}  // namespace kinetics::sensor_detail
