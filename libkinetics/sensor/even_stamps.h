#pragma once

#include <cstddef>
#include <vector>

#include "libkinetics/sensor/log_plan.h"
#include "libkinetics/sensor/row_parser.h"

/// Gives every row a time of its own where several share a stamp or the stamps are coarse.

namespace kinetics::sensor_detail {

/// Takes rows in order of time. In an ordinary log they pass as they are; rows with the same stamp
/// and the same readings are dropped, rows with the same stamp and other readings are laid out over
/// the time around it. In a log with coarse stamps a clock of our own runs from row to row at the
/// log's pace and is led by the stamps, so that it follows them without taking over their jumps; a
/// jump far ahead is a hole.
class EvenStamps {
 public:
  explicit EvenStamps(const LogPlan& plan);

  /// Appends rows whose time is settled; times strictly increase. Throws Error{kUnreadable} when
  /// the stamps stand still for half a minute of rows.
  void add(const std::vector<LogRow>& sorted, std::vector<LogRow>& timed);
  void finish(std::vector<LogRow>& timed);

  [[nodiscard]] const LeftOut& duplicates() const { return duplicates_; }
  [[nodiscard]] const LeftOut& laid_out() const { return laid_out_; }
  /// 1 sigma of the laid out times about the stamps; 0 when the stamps were taken as they are.
  [[nodiscard]] double sigma_s() const;

 private:
  void take(const LogRow& row, std::vector<LogRow>& timed);
  void close_group(const LogRow* next, std::vector<LogRow>& timed);
  void lay_out_fine(const LogRow* next);
  void lay_out_coarse(bool whole);
  void emit(LogRow& row, std::vector<LogRow>& timed);

  const LogPlan& plan_;
  bool even_ = false;
  bool coarse_ = false;
  double step_s_ = 0.0;
  double hole_s_ = 0.0;
  double shift_s_ = 0.0;
  std::vector<LogRow> group_;
  double last_s_ = 0.0;
  bool begun_ = false;
  std::size_t row_ = 0;
  double squares_ = 0.0;
  std::size_t groups_ = 0;
  LeftOut duplicates_;
  LeftOut laid_out_;
};

}  // namespace kinetics::sensor_detail
