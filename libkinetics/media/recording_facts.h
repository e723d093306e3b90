#pragma once

#include <optional>
#include <string>

/// What a recording's file tells of itself without decoding it.

namespace kinetics {

struct RecordingFacts {
  /// As ClipInfo::recorded_at. Cameras differ in whether it is when the file was begun or ended.
  std::string recorded_at;
  std::optional<double> duration_s;  ///< as stored
  int width_px = 0;                  ///< as stored, before rotation
  int height_px = 0;
  std::string camera;  ///< maker and model, as the container says; empty when it does not
};

/// Errors  as ClipReader, for files that cannot be opened.
[[nodiscard]] RecordingFacts recording_facts(const std::string& path);

}  // namespace kinetics
