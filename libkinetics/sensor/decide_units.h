#pragma once

#include <array>
#include <cstddef>
#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/sensor/head_table.h"
#include "libkinetics/sensor/units.h"

/// Units that no header states, from what the numbers must be: a sensor at rest feels one g.

namespace kinetics::sensor_detail {

using Triple = std::array<std::size_t, 3>;

/// Length of the vector while the log is quietest.
struct Rest {
  double magnitude = 0.0;
  double spread = 0.0;  ///< of the quiet stretches' lengths among each other, as a share
};

/// `also` is added first, when it is not null: gravity and linear acceleration kept apart.
[[nodiscard]] Rest rest_of(const HeadTable& table,
                           const Triple& columns,
                           double step_s,
                           const Triple* also = nullptr);

struct Decision {
  double to_si = 1.0;
  std::string says;  ///< "g, from the header"
  bool usable = true;
  bool counts = false;  ///< raw counts, scaled by what they must be
  Notes notes;
};

/// Decides the unit of acceleration. `given` beats `header` beats the magnitude at rest, except
/// that a header the rest contradicts is not believed. Not usable when gravity is missing.
[[nodiscard]] Decision decide_acceleration(const Rest& rest, const Unit& given, const Unit& header);

/// Decides the unit of rotation rate from header, size, and whether the tilt the accelerometer
/// sees turns as the gyroscope says. `accel` is null when it is in another file; where it is raw
/// counts, whole numbers of rotation rate are taken for raw counts, too.
[[nodiscard]] Decision decide_rotation(const HeadTable& table,
                                       const Triple& gyro,
                                       const Triple* accel,
                                       double step_s,
                                       const Unit& given,
                                       const Unit& header,
                                       bool accel_in_counts);

/// Decides the unit of a height.
[[nodiscard]] Decision decide_height(const HeadColumn& column,
                                     const Unit& given,
                                     const Unit& header);

}  // namespace kinetics::sensor_detail
