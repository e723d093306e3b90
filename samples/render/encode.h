#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "samples/render/canvas.h"

/// Writing the pictures into a clip.

namespace render {

struct EncodeSpec {
  std::string codec = "h264";
  std::string preset = "veryfast";
  int width_px = 0;  ///< as displayed
  int height_px = 0;
  int rotation_deg = 0;  ///< clockwise, from stored to displayed
  int crf = 20;
  double bit_rate_bps = 0.0;  ///< spent instead, as a phone does; 0: as much as crf takes
  double key_every_s = 0.0;   ///< between pictures coded whole; 0: the encoder's own choice
  int tick_num = 1;           ///< one tick of the stamps lasts num/den s
  int tick_den = 90000;
  double frame_rate_hz = 30.0;   ///< as stored
  double capture_rate_hz = 0.0;  ///< written into the metadata; 0: not
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
