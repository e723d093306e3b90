#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "samples/render/canvas.h"

/// Writing the pictures into a clip.

namespace render {

struct EncodeSpec {
  std::string codec = "h264";
  int width_px = 0;
  int height_px = 0;
  int crf = 20;
  int ticks_per_s = 90000;  ///< time base of the stamps
  double frame_rate_hz = 30.0;
};

/// Encodes in a thread of its own. Throws std::runtime_error naming the file.
class Encoder {
 public:
  Encoder(const std::string& path, const EncodeSpec& spec);
  ~Encoder();
  Encoder(const Encoder&) = delete;
  Encoder& operator=(const Encoder&) = delete;
  /// A picture to draw into; hand it back with add().
  [[nodiscard]] Canvas blank();
  void add(Canvas picture, std::int64_t ticks);
  void finish();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace render
