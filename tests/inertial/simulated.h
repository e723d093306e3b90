#pragma once

#include "libkinetics/sensor/sensor_log.h"
#include "samples/simulate/sensor.h"

/// A simulated log as the reader would hand it over, without the file in between.

namespace kinetics_test {

/// Rows in order of time, repeated ones left out, the gyroscope's own rows laid onto the others.
[[nodiscard]] kinetics::SensorLog read_rows(const simulate::SimulatedLog& log,
                                            const simulate::SensorSpec& spec);

}  // namespace kinetics_test
