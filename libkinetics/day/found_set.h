#pragma once

#include <cstddef>
#include <optional>

/// One set as it was seen in a recording of a whole session.

namespace kinetics {

struct FoundSet {
  std::size_t first_rep = 0;  ///< index into the recording's reps
  int reps = 0;
  double start_s = 0.0;                        ///< first rise, since the recording began
  double end_s = 0.0;                          ///< end of the last
  int view = 1;                                ///< grows each time the camera was moved or bumped
  std::optional<double> rom_m = std::nullopt;  ///< middle one of the full reps
  std::optional<double> lockout_m = std::nullopt;  ///< bar's centre at lockout, the same of them
  /// Whether `lockout_m` counts from the floor. Else its zero is unknown and the same in a view.
  bool above_floor = false;
  std::optional<double> disc_radius_px = std::nullopt;   ///< seen; tells discs apart within a view
  std::optional<double> disc_diameter_m = std::nullopt;  ///< of the largest, when known
};

}  // namespace kinetics
