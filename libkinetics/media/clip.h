#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "libkinetics/core/media_time.h"
#include "libkinetics/media/luma_view.h"

/// What a clip is, and one picture of it.

namespace kinetics {

/// Which way the sensor's rows were read out, as displayed. Phones read the stored rows top down.
enum class ReadoutDirection { kDown, kUp, kRight, kLeft };

/// Facts about a clip, after its display rotation is applied.
struct ClipInfo {
  std::string path;
  std::string container;  ///< FFmpeg's short name, for example "mov,mp4,m4a,3gp,3g2,mj2"
  std::string codec;      ///< for example "h264"
  int width_px = 0;       ///< as displayed, before the pixel aspect is applied
  int height_px = 0;
  double pixel_aspect = 1.0;  ///< width of one displayed pixel over its height
  int rotation_deg = 0;       ///< clockwise turn from stored to displayed: 0, 90, 180 or 270
  bool mirrored = false;
  int bit_depth = 8;
  double frame_rate_hz = 0.0;        ///< mean rate the container states; for display only
  std::optional<double> duration_s;  ///< as stored, not slowed; empty when not stated
  double slow_motion_factor = 1.0;   ///< stored time over real time: 8 for 240 Hz stored as 30
  ReadoutDirection readout = ReadoutDirection::kDown;
  /// When it was recorded, as the container tells: ISO 8601 with "Z" or the zone's offset; empty
  /// when it does not.
  std::string recorded_at = {};
};

/// One decoded picture. Keeps its pixels alive for as long as a copy of it lives.
struct Frame {
  std::int64_t index = 0;       ///< 0 for the first picture shown
  double t_s = 0.0;             ///< real seconds since the first picture shown, slow motion undone
  MediaTime stamp;              ///< as stored
  bool stamp_repaired = false;  ///< the container had no usable stamp; this one is interpolated
  LumaView luma;
  std::shared_ptr<const void> pixels;
};

}  // namespace kinetics
