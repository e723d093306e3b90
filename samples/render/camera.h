#pragma once

#include "samples/render/geometry.h"

/// Where things in the gym appear in the picture.

namespace render {

/// A pinhole camera with radial distortion, standing still and looking at a point.
struct CameraSpec {
  int width_px = 1280;
  int height_px = 720;
  double distance_m = 3.5;  ///< from the point looked at, measured level
  double height_m = 1.0;    ///< of the lens over the floor
  double yaw_deg = 0.0;     ///< off square; positive: the camera stands to the right
  double roll_deg = 0.0;    ///< positive: the picture's content turns clockwise
  double aim_x_m = 0.0;     ///< what the middle of the picture shows
  double aim_height_m = 1.0;
  double focal_px = 1000.0;
  double k1 = 0.0;  ///< r' = r (1 + k1 r² + k2 r⁴), r in units of the focal length
  double k2 = 0.0;
};

/// A camera ready for projecting. Displayed orientation, whatever way the pixels are stored.
class Camera {
 public:
  explicit Camera(const CameraSpec& spec);
  [[nodiscard]] Pixel px_from_gym(GymPoint p) const;
  /// The picture of a closed outline of things that stand still: cut off in front of the lens, and
  /// with edges fine enough that distortion bends them.
  [[nodiscard]] Outline outline_from_gym(const std::vector<GymPoint>& outline) const;
  /// Distance along the optical axis, m.
  [[nodiscard]] double depth_m(GymPoint p) const { return dot(p - place_, forward_); }
  [[nodiscard]] const CameraSpec& spec() const { return spec_; }

 private:
  CameraSpec spec_;
  double fold_r2_;
  GymPoint place_, right_, down_, forward_;
};

}  // namespace render
