#pragma once

#include "samples/render/scene.h"

/// People as rounded limbs in clothes.

namespace render {

/// The lifter's body in two halves: what lies behind the bar and what lies in front of it.
struct Body {
  Patches behind, before;
};

/// The pose that goes with the bar's place. `middle_z_m` is the middle of the bar.
[[nodiscard]] Body lifter_pose(
    const LifterSpec& who, const SetSpec& set, GymPoint bar, double middle_z_m, double floor_x_m);

/// Somebody walking; `phase` counts steps.
void add_walker(
    Patches& out, const LifterSpec& who, double x, double z, double phase, bool to_right);

/// Somebody standing, hands reaching to `hands`.
void add_stander(Patches& out, const LifterSpec& who, double x, double z, GymPoint hands);

}  // namespace render
