#pragma once

#include <cmath>
#include <optional>
#include <vector>

/// Small value types shared by the renderer's parts.

namespace render {

/// A place in the gym, m. x to the right along the plane of the lift, y up from the floor, z away
/// from the camera's side; the outer face of the near disc lies in z = 0.
struct GymPoint {
  double x = 0.0;
  double y = 0.0;
  double z = 0.0;
};

inline GymPoint operator+(GymPoint a, GymPoint b) {
  return {a.x + b.x, a.y + b.y, a.z + b.z};
}
inline GymPoint operator-(GymPoint a, GymPoint b) {
  return {a.x - b.x, a.y - b.y, a.z - b.z};
}
inline GymPoint operator*(double k, GymPoint a) {
  return {k * a.x, k * a.y, k * a.z};
}
inline double dot(GymPoint a, GymPoint b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}

/// A place in the picture, px. x right, y down; the centre of the top left pixel is (0, 0).
struct Pixel {
  double x = 0.0;
  double y = 0.0;
};

inline Pixel operator+(Pixel a, Pixel b) {
  return {a.x + b.x, a.y + b.y};
}
inline Pixel operator-(Pixel a, Pixel b) {
  return {a.x - b.x, a.y - b.y};
}
inline Pixel operator*(double k, Pixel a) {
  return {k * a.x, k * a.y};
}

using Outline = std::vector<Pixel>;

/// A colour, 0 to 255 each.
struct Colour {
  double r = 128.0;
  double g = 128.0;
  double b = 128.0;
};

/// Lighter (k > 1) or darker (k < 1).
inline Colour shaded(Colour c, double k) {
  return {k * c.r, k * c.g, k * c.b};
}

/// One flat patch of the scene. Its outline need not be convex but must not cross itself.
struct Patch {
  std::vector<GymPoint> outline{};
  Colour colour{};
  /// Strength of the cloth or wall texture, grey levels; 0 for a plain patch.
  double texture = 0.0;
  /// Where the texture is pinned, so that it travels with what it covers.
  GymPoint anchor{};
  /// The outline is a cloud of points and the patch what a band stretched around their images
  /// encloses: how a solid such as a cylinder looks from anywhere.
  bool wrap = false;
  /// Covers what was painted before only in part: 1 is solid.
  double opacity = 1.0;
  /// Colour of a larger patch painted just before that this one shares its edge with (a disc's face
  /// on its tread). What lies behind both then shows through the edge once, not twice, so that the
  /// edge stays where it is instead of moving out by a sixth of a pixel.
  std::optional<Colour> onto{};
};

using Patches = std::vector<Patch>;

}  // namespace render
