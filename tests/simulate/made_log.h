#pragma once

#include <string>
#include <vector>

#include "samples/simulate/sensor.h"

/// Scenes and sensors for the simulator's tests.

namespace made {

/// A few repetitions of a lift, out of the rack and back into it.
[[nodiscard]] render::Scene lifting(const std::string& lift, int reps = 2, double pause_s = 0.6);

/// A bar at rest for so long.
[[nodiscard]] render::Scene resting(double length_s);

/// A sensor without error that nothing shakes.
[[nodiscard]] simulate::SensorSpec perfect(double rate_hz);

/// The lines of the file that the log becomes.
[[nodiscard]] std::vector<std::string> lines_of(const render::Scene& scene,
                                                const simulate::SensorSpec& spec);

}  // namespace made
