#pragma once

#include <cstdint>
#include <string>

#include "samples/render/camera.h"
#include "samples/render/script.h"

/// Everything a clip is made from. Each field has a sane default; the JSON file names the same
/// fields (samples/render/scene.cpp lists them).

namespace render {

struct CaptureSpec {
  double frame_rate_hz = 30.0;
  double exposure_s = 0.008;
  double readout_s = 0.0;      ///< from the first stored row to the last; 0: global shutter
  double noise_sigma = 2.0;    ///< grey levels
  double blur_sigma_px = 0.6;  ///< of the lens
  int crf = 20;                ///< quality asked from the encoder; higher is worse
  std::string codec = "h264";
};

struct DiscSpec {
  double diameter_m = 0.450;
  double thickness_m = 0.06;
  std::string look = "bumper";  ///< plain, bumper, steel
  Colour colour{40.0, 42.0, 46.0};
  int count = 1;                  ///< discs of this size side by side
  double small_diameter_m = 0.0;  ///< a smaller disc outside; 0: none
  bool sticker = false;
};

struct GymSpec {
  Colour wall{150.0, 150.0, 145.0};
  Colour floor{70.0, 70.0, 74.0};
  double wall_texture = 8.0;  ///< grey levels
  double wall_behind_m = 4.0;
  bool rack = true;
  double rack_in_front_m = 0.0;  ///< an upright between camera and disc, this far in front; 0: none
};

struct LifterSpec {
  bool present = true;
  Colour shirt{90.0, 40.0, 45.0};
  Colour trousers{45.0, 48.0, 60.0};
  Colour skin{190.0, 150.0, 125.0};
};

struct Scene {
  std::uint64_t seed = 1;
  CameraSpec camera;
  CaptureSpec capture;
  MotionSpec motion;
  DiscSpec disc;
  GymSpec gym;
  LifterSpec lifter;
};

/// Reads a scene. Throws std::runtime_error naming the file and the field that is wrong.
[[nodiscard]] Scene read_scene(const std::string& path);

}  // namespace render
