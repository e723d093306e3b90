#pragma once

#include <cstddef>
#include <vector>

/// The spacing of a log's rows, in memory that does not grow with the log.

namespace kinetics::sensor_detail {

class StepSurvey {
 public:
  /// Takes the time of the next row.
  void add(double t_s);

  /// Usual spacing: mean of those within a quarter of the middle one, so that stamps of low
  /// resolution do not decide it. 0 before the second row.
  [[nodiscard]] double middle_s() const;
  /// Robust 1 sigma of a row's time about an even pace: the spacing's middle deviation (MAD),
  /// which is 0.6745 sigma of it, over the square root of two for the two rows it lies between.
  [[nodiscard]] double jitter_s() const;

  /// Spacings more than 3.5 times the pace the log began with, and the longest of them.
  [[nodiscard]] std::size_t holes() const { return holes_; }
  [[nodiscard]] double longest_hole_s() const { return longest_s_; }
  [[nodiscard]] double longest_hole_at_s() const { return longest_at_s_; }
  void set_pace(double step_s) { pace_s_ = step_s; }

 private:
  std::vector<double> kept_;  // every stride-th spacing
  std::size_t stride_ = 1;
  std::size_t rows_ = 0;
  double previous_s_ = 0.0;
  double pace_s_ = 0.0;
  std::size_t holes_ = 0;
  double longest_s_ = 0.0;
  double longest_at_s_ = 0.0;
};

}  // namespace kinetics::sensor_detail
