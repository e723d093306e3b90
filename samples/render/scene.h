#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "samples/render/camera.h"
#include "samples/render/script.h"

/// Everything a clip is made from. Each field has a sane default; the JSON file names the same
/// fields (samples/render/scene.cpp lists them).

namespace render {

/// Lamps are switched on or off.
struct LightStepSpec {
  double at_s = 0.0;
  double share = 0.0;  ///< of the light that comes on top; negative: that goes
};

struct CaptureSpec {
  double frame_rate_hz = 30.0;   ///< of capture; 23.976, 29.97, 59.94 mean 24000/1001 and so on
  double stored_rate_hz = 0.0;   ///< slow motion: the rate it is stored with; 0: as captured
  bool slow_motion_tag = false;  ///< write the capture rate into the container's metadata
  double exposure_s = 0.008;
  double readout_s = 0.0;      ///< from the first stored row to the last; 0: global shutter
  double noise_sigma = 2.0;    ///< grey levels
  double blur_sigma_px = 0.6;  ///< of the lens
  double contrast = 1.0;       ///< about black
  double brightness = 0.0;     ///< grey levels added
  double vignette = 0.0;       ///< share of light lost in the corners
  double flicker = 0.0;        ///< of mains light, share of the light
  double mains_hz = 50.0;
  double light_drift = 0.0;  ///< slow changes of the light, share
  std::vector<LightStepSpec> light_steps{};
  double stamp_jitter_s = 0.0;    ///< 1 sigma of when a frame is really taken; its stamp says when
  double stamp_error_s = 0.0;     ///< 1 sigma of what a stamp says wrongly
  double dropped_share = 0.0;     ///< frames that are missing
  double repeated_share = 0.0;    ///< frames that show the one before again
  double same_stamp_share = 0.0;  ///< frames stamped like the one before (mkv with mjpeg only)
  /// Brought to this even rate after it was taken, by showing at each moment the picture nearest to
  /// it, once more or not at all; 0: left as taken.
  double delivered_rate_hz = 0.0;
  int rotation_deg = 0;        ///< clockwise turn the container asks for: 0, 90, 180, 270
  int crf = 23;                ///< quality asked from the encoder; higher is worse
  double bit_rate_bps = 0.0;   ///< spent instead, as a phone does (h264); 0: as much as crf takes
  std::string codec = "h264";  ///< h264, hevc, vp9, mpeg4 or mjpeg
  std::string preset = "veryfast";  ///< of h264 and hevc
  double key_every_s = 0.0;         ///< between pictures coded whole; 0: the encoder's own choice
};

/// A push against the tripod, in the picture.
struct KnockSpec {
  double at_s = 0.0;
  double swing_px = 0.0;  ///< first swing of the damped shaking
  double frequency_hz = 6.0;
  double decay_s = 0.25;
  double shift_x_px = 0.0;  ///< where the picture ends up afterwards
  double shift_y_px = 0.0;
  double turn_deg = 0.0;
};

struct DiscSpec {
  double diameter_m = 0.450;
  double thickness_m = 0.06;
  std::string look = "bumper";  ///< plain, bumper, steel
  Colour colour{40.0, 42.0, 46.0};
  int count = 1;                  ///< discs of this size side by side
  double small_diameter_m = 0.0;  ///< a smaller disc outside; 0: none
  bool sticker = false;
  bool rest_of_bar = true;  ///< grip and far end are there too
};

struct GymSpec {
  Colour wall{150.0, 150.0, 145.0};
  Colour floor{70.0, 70.0, 74.0};
  double wall_texture = 8.0;  ///< grey levels
  double wall_behind_m = 4.0;
  bool posters = true;
  bool window = false;  ///< a bright one, behind the lifter
  bool clock = false;
  int stored_discs = 0;  ///< of the same size, on pegs behind
  bool fan = false;      ///< turning
  bool ball = false;     ///< rolling by on the floor
  bool rack = true;
  double rack_in_front_m = 0.0;  ///< an upright between camera and disc, this far in front; 0: none
  double rack_in_front_x_m = 0.12;
};

struct LifterSpec {
  bool present = true;
  Colour shirt{90.0, 40.0, 45.0};
  Colour trousers{45.0, 48.0, 60.0};
  Colour skin{190.0, 150.0, 125.0};
};

/// Somebody who crosses the picture.
struct WalkerSpec {
  double at_s = 5.0;          ///< when passing the disc
  double speed_mps = 1.2;     ///< negative: towards the left
  double z_m = 2.5;           ///< negative: between camera and disc
  bool carries_disc = false;  ///< of the same size as the bar's
};

/// Somebody who stands close and hides part of the disc.
struct SpotterSpec {
  double x_m = 0.28;  ///< from the bar's place to the middle of the body
  double z_m = -0.35;
  double sway_m = 0.012;
  std::vector<double> covers_at_s;  ///< when the whole disc is hidden
  double cover_s = 0.35;            ///< and for how long
};

/// A disc is carried in and slid on outside the others, where it stays.
struct PlateChangeSpec {
  double at_s = 0.0;  ///< when it reaches the sleeve
  double diameter_m = 0.325;
};

/// Another lifter behind, who does a set at the same time.
struct SecondRigSpec {
  double x_m = -1.3;
  double z_m = 4.5;
  double at_s = 0.0;  ///< when the set's stillness begins
  SetSpec set;
};

/// One turn of a day on which many lift: somebody walks in, lifts, and walks out again. Before it
/// the discs have been changed while nobody was at the bar.
struct TurnSpec {
  double at_s = 0.0;  ///< when the lifter has arrived
  SetSpec set;
  LifterSpec lifter;
  std::optional<DiscSpec> disc{};  ///< left empty: the scene's
};

struct Scene {
  std::uint64_t seed = 1;
  CameraSpec camera;
  CaptureSpec capture;
  MotionSpec motion;
  DiscSpec disc;
  GymSpec gym;
  LifterSpec lifter;
  double tremor_px = 0.0;  ///< of a camera held by hand, 1 sigma
  std::vector<KnockSpec> knocks;
  std::vector<WalkerSpec> walkers;
  std::vector<SpotterSpec> spotters;
  std::vector<PlateChangeSpec> plate_changes;
  std::vector<SecondRigSpec> second_rigs;
  std::vector<TurnSpec> turns;  ///< in time order; instead of `motion.sets` and `lifter`
  double length_s = 0.0;        ///< of a clip with turns; 0: it ends after the last
};

/// Makes up a scene; the same seed gives the same one. `hard` piles conditions on each other.
[[nodiscard]] std::string random_scene(std::uint64_t seed, bool hard);

/// Reads a scene. Throws std::runtime_error naming the file and the field that is wrong.
[[nodiscard]] Scene read_scene(const std::string& path);
/// The same from text; `where` stands for the file in messages.
[[nodiscard]] Scene parse_scene(const std::string& text, const std::string& where);

}  // namespace render
