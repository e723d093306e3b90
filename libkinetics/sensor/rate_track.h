#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/core/note.h"

/// Rotation rates that were logged apart from the acceleration, and how the two come together.

namespace kinetics::sensor_detail {

/// Which clock the stamps of a stream count on.
enum class ClockKind {
  kWall,     ///< since 1970
  kElapsed,  ///< since the log, the program or the device was started; or the time of day
  kRows,     ///< made from a rate
};

class RateTrack {
 public:
  void add(double t_s, const Eigen::Vector3f& rate_radps);
  [[nodiscard]] bool empty() const { return t_s_.empty(); }
  [[nodiscard]] double first_s() const { return t_s_.front(); }
  [[nodiscard]] double last_s() const { return t_s_.back(); }

  /// Settles how much to add to this track's times to get those of a stream that begins at
  /// `first_s`, and says so where it is not plain.
  void align(ClockKind own, ClockKind other, double first_s, Notes& notes);

  /// The rate at a time of the other stream, between the two nearest rows; none where these are
  /// more than a quarter of a second apart, or a tenth beyond the first or the last row. Times must
  /// not go back from call to call.
  [[nodiscard]] std::optional<Eigen::Vector3f> at(double t_s);

 private:
  std::vector<double> t_s_;
  std::vector<Eigen::Vector3f> rate_radps_;
  double offset_s_ = 0.0;
  std::size_t next_ = 0;
};

}  // namespace kinetics::sensor_detail
