#pragma once

#include "samples/render/geometry.h"

/// Building blocks the actors are made of.

namespace render {

/// A circle in a plane z = centre.z.
[[nodiscard]] std::vector<GymPoint> circle(GymPoint centre, double radius_m, int corners = 96);
/// Part of a ring between two radii and two angles.
[[nodiscard]] std::vector<GymPoint> ring_piece(
    GymPoint centre, double inner_m, double outer_m, double from_rad, double to_rad);
/// A limb from a to b, rounded, in the plane z = a.z.
[[nodiscard]] std::vector<GymPoint> limb(GymPoint a, GymPoint b, double radius_a, double radius_b);
[[nodiscard]] std::vector<GymPoint> box(double x0, double y0, double x1, double y1, double z);

/// The knee (or elbow) of two links from `a` to `c`; bends towards +x when `forward`.
[[nodiscard]] GymPoint joint(GymPoint a, GymPoint c, double upper_m, double lower_m, bool forward);

}  // namespace render
