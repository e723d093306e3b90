// The room: wall, floor, and what stands about in it.
#include <algorithm>
#include <numbers>

#include "samples/render/dice.h"
#include "samples/render/gear.h"
#include "samples/render/shapes.h"
#include "samples/render/stage.h"

namespace render {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kWide_m = 16.0;

void add_wall(Patches& out, const GymSpec& gym) {
  const double z = gym.wall_behind_m;
  out.push_back({.outline = box(-kWide_m, 0.0, kWide_m, 7.0, z),
                 .colour = gym.wall,
                 .texture = gym.wall_texture,
                 .anchor = {0.0, 0.0, z}});
  if (gym.wall_texture > 0.0) {
    // Courses of blocks.
    for (int row = 0; row < 24; ++row) {
      const double y = 0.2 * row;
      out.push_back(
          {.outline = box(-kWide_m, y, kWide_m, y + 0.007, z), .colour = shaded(gym.wall, 0.86)});
      for (double x = -8.0 + 0.2 * (row % 2); x < 8.0; x += 0.4)
        out.push_back(
            {.outline = box(x, y, x + 0.007, y + 0.2, z), .colour = shaded(gym.wall, 0.88)});
    }
    out.push_back({.outline = box(-kWide_m, 1.25, kWide_m, 1.37, z),
                   .colour = {70.0, 110.0, 140.0},
                   .texture = 3.0,
                   .anchor = {0.0, 0.0, z}});
  }
  out.push_back({.outline = box(-kWide_m, 0.0, kWide_m, 0.1, z), .colour = shaded(gym.wall, 0.4)});
}

void add_posters(Patches& out, double z, std::uint64_t seed) {
  Dice dice(seed ^ 0x905'7e5ULL);
  for (const double x : {-2.3, -1.5, 1.9, 2.7}) {
    const double y = dice.uniform(1.5, 1.8), w = dice.uniform(0.4, 0.6), h = dice.uniform(0.5, 0.8);
    const Colour paper{dice.uniform(150, 240), dice.uniform(150, 240), dice.uniform(130, 230)};
    out.push_back({.outline = box(x, y, x + w, y + h, z), .colour = paper});
    for (int k = 0; k < 6; ++k) {
      const double bx = x + dice.uniform(0.04, w - 0.22), by = y + dice.uniform(0.04, h - 0.18);
      const Colour ink{dice.uniform(20, 200), dice.uniform(20, 160), dice.uniform(20, 200)};
      out.push_back(
          {.outline = box(bx, by, bx + dice.uniform(0.05, 0.18), by + dice.uniform(0.03, 0.14), z),
           .colour = ink});
    }
  }
}

void add_shelf(Patches& out, double z) {
  // Dumb-bells on a shelf against the wall.
  const Colour steel{50.0, 50.0, 55.0};
  for (const double y : {0.35, 0.75}) {
    out.push_back({.outline = box(-3.2, y, -0.9, y + 0.04, z), .colour = steel});
    for (double x = -3.1; x < -1.0; x += 0.26) {
      out.push_back(
          {.outline = box(x, y + 0.08, x + 0.18, y + 0.11, z), .colour = {150, 150, 150}});
      for (const double e : {0.0, 0.14})
        out.push_back({.outline = box(x + e, y + 0.04, x + e + 0.06, y + 0.16, z),
                       .colour = {34.0, 34.0, 36.0}});
    }
  }
  for (const double x : {-3.2, -0.95})
    out.push_back({.outline = box(x, 0.0, x + 0.05, 0.95, z), .colour = steel});
}

void add_clock(Patches& out, double z) {
  const GymPoint c{1.1, 2.0, z};
  out.push_back({.outline = circle(c, 0.19, 96), .colour = {35.0, 35.0, 38.0}});
  out.push_back({.outline = circle(c, 0.17, 96), .colour = {235.0, 235.0, 228.0}});
  for (int hour = 0; hour < 12; ++hour) {
    const double a = hour * kPi / 6.0;
    out.push_back(
        {.outline = ring_piece(c, 0.135, 0.16, a - 0.03, a + 0.03), .colour = {30.0, 30.0, 30.0}});
  }
  out.push_back({.outline = ring_piece(c, 0.0, 0.13, 1.2, 1.26), .colour = {20.0, 20.0, 20.0}});
  out.push_back({.outline = ring_piece(c, 0.0, 0.09, 2.8, 2.88), .colour = {20.0, 20.0, 20.0}});
}

void add_window(Patches& out, double z) {
  out.push_back({.outline = box(-1.1, 0.9, 0.5, 2.4, z), .colour = {90.0, 92.0, 95.0}});
  out.push_back({.outline = box(-1.03, 0.97, 0.43, 2.33, z), .colour = {253.0, 254.0, 255.0}});
  out.push_back({.outline = box(-0.33, 0.97, -0.27, 2.33, z), .colour = {100.0, 102.0, 105.0}});
}

void add_bench(Patches& out, double z) {
  const Colour frame{45.0, 45.0, 50.0};
  for (const double x : {-0.45, 0.40})
    out.push_back({.outline = box(x - 0.03, 0.0, x + 0.03, 0.36, z), .colour = frame});
  out.push_back({.outline = box(-0.52, 0.33, 0.46, 0.37, z), .colour = frame});
  out.push_back({.outline = limb({-0.52, 0.405, z}, {0.46, 0.405, z}, 0.04, 0.04),
                 .colour = {25.0, 26.0, 28.0},
                 .texture = 3.0});
}

}  // namespace

Patches still_behind(const Scene& scene) {
  const GymSpec& gym = scene.gym;
  const double z = gym.wall_behind_m;
  Patches out;
  add_wall(out, gym);
  if (gym.posters) add_posters(out, z, scene.seed);
  if (gym.window) add_window(out, z);
  if (gym.clock) add_clock(out, z);
  out.push_back({.outline = {{-kWide_m, 0.0, z},
                             {kWide_m, 0.0, z},
                             {kWide_m, 0.0, -8.0},
                             {-kWide_m, 0.0, -8.0}},
                 .colour = gym.floor,
                 .texture = 0.8 * gym.wall_texture,
                 .anchor = {0.0, 0.0, z}});
  out.push_back(
      {.outline = {{-1.5, 0.0, -0.9}, {1.5, 0.0, -0.9}, {1.5, 0.0, 2.2}, {-1.5, 0.0, 2.2}},
       .colour = shaded(gym.floor, 0.72),
       .texture = 0.6 * gym.wall_texture});
  if (gym.posters) add_shelf(out, z - 0.3);
  const double pegs = std::min(z - 0.2, 2.4);
  if (gym.stored_discs > 0)
    out.push_back({.outline = box(0.95, 0.0, 1.02, 1.5, pegs), .colour = {60.0, 62.0, 66.0}});
  for (int k = 0; k < gym.stored_discs; ++k)
    add_disc(
        out, scene.disc, {k % 2 == 0 ? 0.98 : -1.55, 0.45 + 0.5 * (k / 2), pegs - 0.1}, 0.7 * k);
  const SetSpec& set = scene.motion.sets.front();
  const LiftFacts lift = facts_of(set.lift);
  const double middle = stack_depth_m(scene.disc) + 0.5 * kBetweenCollars_m;
  if (gym.rack && lift.racked) {
    const double hook = set.top_height_m.value_or(lift.top_height_m) - 0.05;
    const double high = lift.lying ? 1.15 : 2.3;
    add_upright(out, lift.walk_m + 0.06, middle + 0.55, high, hook);
    add_upright(out, lift.walk_m + 0.06, middle - 0.55, high, hook);
  }
  if (lift.lying) add_bench(out, middle);
  if (set.lift == "box_squat") {
    out.push_back({.outline = box(-0.62, 0.0, -0.22, 0.40, middle),
                   .colour = {150.0, 115.0, 75.0},
                   .texture = 4.0});
    out.push_back({.outline = box(-0.62, 0.37, -0.22, 0.40, middle), .colour = {40.0, 40.0, 42.0}});
  }
  for (const SecondRigSpec& rig : scene.second_rigs)
    if (facts_of(rig.set.lift).racked) {
      const double hook = rig.set.top_height_m.value_or(facts_of(rig.set.lift).top_height_m) - 0.05;
      add_upright(out, rig.x_m + facts_of(rig.set.lift).walk_m + 0.06, rig.z_m + 1.2, 2.3, hook);
    }
  return out;
}

Patches still_in_front(const Scene& scene) {
  Patches out;
  if (scene.gym.rack_in_front_m > 0.0)
    add_upright(out, scene.gym.rack_in_front_x_m, -scene.gym.rack_in_front_m, 2.3, 1.2);
  return out;
}

}  // namespace render
