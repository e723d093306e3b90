#pragma once

#include "samples/render/scene.h"

/// Bar, discs and rack as patches.

namespace render {

/// Between the collars of a competition bar, by common rule books: 1.31 m.
inline constexpr double kBetweenCollars_m = 1.31;

[[nodiscard]] inline double stack_depth_m(const DiscSpec& d) {
  return d.thickness_m * d.count;
}

void add_far_end(Patches& out, const DiscSpec& disc, GymPoint bar);
/// Thickness of a smaller disc.
inline constexpr double kSmallDepth_m = 0.03;
void add_small_disc(Patches& out, double diameter_m, GymPoint outer_face);
/// The sleeve's free end, towards the camera.
void add_sleeve(Patches& out, GymPoint from, double length_m);
/// Length of the sleeve outside the collar by common rule books.
inline constexpr double kSleeve_m = 0.415;
void add_grip(Patches& out, const DiscSpec& disc, GymPoint bar);
void add_near_end(Patches& out, const DiscSpec& disc, GymPoint bar, double turn_rad);
/// A loose disc facing the camera, its outer face at `c`.
void add_disc(Patches& out, const DiscSpec& disc, GymPoint c, double turn_rad);
void add_upright(Patches& out, double x, double z, double height_m, double hook_m);

}  // namespace render
