#pragma once

#include <memory>
#include <string>

#include "libkinetics/media/clip_reader.h"

/// Writes an annotated clip that any phone or browser plays (H.264 in MP4).

namespace kinetics {

/// Writes to a temporary name beside `path` and renames on finish(), so that nothing partial is
/// left behind when it is destroyed early.
///
/// Errors  throws Error{kUsage} when the path cannot be written, Error{kInternal} when the disk
///         fills midway.
class ClipWriter {
 public:
  /// All pictures must have this size (odd sizes are cropped by one pixel).
  ClipWriter(const std::string& path, int width_px, int height_px);
  ~ClipWriter();
  ClipWriter(ClipWriter&&) noexcept;
  ClipWriter& operator=(ClipWriter&&) noexcept;
  ClipWriter(const ClipWriter&) = delete;
  ClipWriter& operator=(const ClipWriter&) = delete;

  /// Adds a picture shown from `t_s` seconds on. Times must increase.
  void add(const ColourPicture& picture, double t_s);
  /// Completes the file under its final name.
  void finish();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace kinetics
