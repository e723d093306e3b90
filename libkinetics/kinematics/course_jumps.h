#pragma once

#include <vector>

#include "libkinetics/tracking/bar_path.h"

/// Where a path goes on with another thing than the bar. Internal to the room.

namespace kinetics {

/// For each point whether the course jumps to it from where the bar was seen before: what was seen
/// on either side goes along smoothly, up or sideways, but not as one movement of a bar. A sighting
/// or two beside the course are none. Where the bar was hidden only wide jumps show.
///
/// Shape     one number a point, 0 or 1; points that were not seen have none.
/// `noise_scale`  how much more the path trembles than its own sigmas say.
[[nodiscard]] std::vector<char> jumps_of_course(const std::vector<PathPoint>& points,
                                                double noise_scale,
                                                double max_gap_s);

/// For each point whether it alone lies off the course of those before and after, by far more than
/// they scatter: the picture before once more, or a moment's slip. No bar goes there and back
/// between two pictures.
[[nodiscard]] std::vector<char> lone_strays(const std::vector<PathPoint>& points,
                                            double noise_scale,
                                            double max_gap_s);

}  // namespace kinetics
