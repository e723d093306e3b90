#pragma once

#include <optional>
#include <string>

/// What a recording's file tells of itself without decoding it.

namespace kinetics {

struct RecordingFacts {
  /// When the file was begun or ended, s since 1970 (UTC), as the container says. Cameras differ in
  /// which of the two they write. Empty when it says nothing, or a time before this century.
  std::optional<double> created_unix_s;
  std::optional<double> duration_s;  ///< as stored
  int width_px = 0;                  ///< as stored, before rotation
  int height_px = 0;
  std::string camera;  ///< maker and model, as the container says; empty when it does not
};

/// Errors  as ClipReader, for files that cannot be opened.
[[nodiscard]] RecordingFacts recording_facts(const std::string& path);

}  // namespace kinetics
