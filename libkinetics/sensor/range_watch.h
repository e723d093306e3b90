#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "libkinetics/sensor/sensor_log.h"

/// Finds the end of a sensor's range from readings that stand at it.

namespace kinetics::sensor_detail {

/// Watches the largest and smallest reading of each axis. Where a sensor's range ends, readings
/// pile up at one value that nothing exceeds; elsewhere the largest reading is a lone peak.
class RangeWatch {
 public:
  void watch(std::span<const SensorSample> samples);
  /// Marks the samples that stand at an end found so far; returns how many were marked.
  [[nodiscard]] std::size_t mark(std::span<SensorSample> samples) const;

  /// Smallest end of range of the acceleration found, m/s²; 0 when none was.
  [[nodiscard]] double accel_range_mps2() const;
  [[nodiscard]] double rate_range_radps() const;

 private:
  struct Side {
    float extreme = 0.0F;
    std::size_t at = 0;    // readings at the extreme
    std::size_t near = 0;  // within a tenth below it
    std::size_t run = 0;   // in a row, now
    std::size_t longest = 0;
  };
  static void watch(Side& side, float value);
  [[nodiscard]] static bool is_end(const Side& side, float least);

  std::array<Side, 12> sides_;  // axis by axis, upwards and downwards
};

}  // namespace kinetics::sensor_detail
