#include "samples/render/stage.h"

#include <algorithm>
#include <numbers>

#include "samples/render/shapes.h"

namespace render {
namespace {

constexpr double kPi = std::numbers::pi;
// Bar by common rule books: 28 mm grip, 50 mm sleeve 415 mm long, 1.31 m between the collars.
constexpr double kGripRadius_m = 0.014;
constexpr double kSleeveRadius_m = 0.025;
constexpr double kSleeve_m = 0.415;
constexpr double kBetweenCollars_m = 1.31;
constexpr int kRimCorners = 240;

std::vector<GymPoint> tube(GymPoint from, double depth_m, double radius_m, int corners) {
  std::vector<GymPoint> out = circle(from, radius_m, corners);
  const std::vector<GymPoint> far = circle({from.x, from.y, from.z + depth_m}, radius_m, corners);
  out.insert(out.end(), far.begin(), far.end());
  return out;
}

double stack_depth(const DiscSpec& disc) {
  return disc.thickness_m * disc.count;
}

// Raised dummy letters and a ring groove on the face, turned by `turn`.
void add_face(Patches& out, const DiscSpec& disc, GymPoint c, double turn) {
  const double r = 0.5 * disc.diameter_m;
  const bool steel = disc.look == "steel";
  out.push_back({.outline = circle(c, r, kRimCorners),
                 .colour = disc.colour,
                 .texture = disc.look == "plain" ? 0.0 : 2.0,
                 .anchor = c});
  if (steel) {
    out.push_back({.outline = circle(c, r - 0.022, 120), .colour = shaded(disc.colour, 0.72)});
    out.push_back({.outline = circle(c, 0.07, 64), .colour = shaded(disc.colour, 1.1)});
  }
  if (disc.look == "bumper") {
    out.push_back({.outline = circle(c, 0.86 * r, 120), .colour = shaded(disc.colour, 0.75)});
    out.push_back({.outline = circle(c, 0.83 * r, 120), .colour = shaded(disc.colour, 1.08)});
  }
  if (disc.look != "plain") {
    const Colour letter = steel ? shaded(disc.colour, 1.5) : Colour{205.0, 205.0, 200.0};
    const double widths[] = {0.16, 0.09, 0.20, 0.13, 0.17, 0.10, 0.15};
    double a = turn;
    for (int half = 0; half < 2; ++half) {
      a = turn + half * kPi;
      for (const double w : widths) {
        out.push_back({.outline = ring_piece(c, 0.57 * r, 0.70 * r, a, a + w), .colour = letter});
        a += w + 0.09;
      }
    }
    out.push_back({.outline = circle(c, 0.24 * r, 64), .colour = {150.0, 152.0, 156.0}});
    out.push_back({.outline = circle(c, 0.20 * r, 64), .colour = {110.0, 112.0, 116.0}});
  }
  if (disc.sticker) {
    const GymPoint at{
        c.x + 0.45 * r * std::cos(turn + 1.2), c.y + 0.45 * r * std::sin(turn + 1.2), c.z};
    out.push_back({.outline = circle(at, 0.03, 40), .colour = {245.0, 245.0, 60.0}});
  }
}

void add_far_end(Patches& out, const Scene& scene, GymPoint bar) {
  const DiscSpec& disc = scene.disc;
  const double z = bar.z + stack_depth(disc) + kBetweenCollars_m;
  const GymPoint c{bar.x, bar.y, z};
  out.push_back({.outline = tube(c, stack_depth(disc), 0.5 * disc.diameter_m, 64),
                 .colour = shaded(disc.colour, 0.6),
                 .wrap = true});
  out.push_back({.outline = circle(c, 0.5 * disc.diameter_m), .colour = shaded(disc.colour, 0.8)});
  out.push_back(
      {.outline = circle(c, 0.86 * 0.5 * disc.diameter_m), .colour = shaded(disc.colour, 0.7)});
}

void add_near_end(Patches& out, const Scene& scene, GymPoint bar, double turn) {
  const DiscSpec& disc = scene.disc;
  out.push_back({.outline = tube(bar, stack_depth(disc), 0.5 * disc.diameter_m, kRimCorners),
                 .colour = shaded(disc.colour, 0.7),
                 .wrap = true});
  add_face(out, disc, bar, turn);
  double sleeve = std::max(0.05, kSleeve_m - stack_depth(disc));
  if (disc.small_diameter_m > 0.0) {
    constexpr double kSmallDepth_m = 0.03;
    const GymPoint c{bar.x, bar.y, bar.z - kSmallDepth_m};
    const Colour iron{95.0, 97.0, 102.0};
    out.push_back({.outline = tube(c, kSmallDepth_m, 0.5 * disc.small_diameter_m, 96),
                   .colour = shaded(iron, 0.7),
                   .wrap = true});
    out.push_back({.outline = circle(c, 0.5 * disc.small_diameter_m), .colour = iron});
    sleeve = std::max(0.05, sleeve - kSmallDepth_m);
  }
  const GymPoint tip{bar.x, bar.y, bar.z - sleeve};
  out.push_back({.outline = tube(tip, sleeve, kSleeveRadius_m, 40),
                 .colour = {125.0, 127.0, 130.0},
                 .wrap = true});
  out.push_back({.outline = circle(tip, kSleeveRadius_m, 40), .colour = {165.0, 167.0, 170.0}});
  out.push_back({.outline = circle(tip, 0.4 * kSleeveRadius_m, 24), .colour = {60.0, 60.0, 62.0}});
}

// A limb with a lighter core, so that it looks round.
void add_limb(Patches& out, GymPoint a, GymPoint b, double ra, double rb, Colour c, double cloth) {
  out.push_back(
      {.outline = limb(a, b, ra, rb), .colour = shaded(c, 0.75), .texture = cloth, .anchor = a});
  out.push_back({.outline = limb(a, b, 0.65 * ra, 0.65 * rb),
                 .colour = shaded(c, 0.95),
                 .texture = cloth,
                 .anchor = a});
  out.push_back({.outline = limb(a, b, 0.3 * ra, 0.3 * rb),
                 .colour = shaded(c, 1.1),
                 .texture = cloth,
                 .anchor = a});
}

void add_standing(Patches& out,
                  const Scene& scene,
                  const LiftFacts& lift,
                  GymPoint bar,
                  double top_m,
                  bool near_side) {
  constexpr double kShank_m = 0.44, kThigh_m = 0.43, kTorso_m = 0.47, kAnkle_m = 0.09;
  const LifterSpec& who = scene.lifter;
  const double z = bar.z + stack_depth(scene.disc) + 0.5 * kBetweenCollars_m;
  const double side = near_side ? -0.18 : 0.18;
  const double down = std::clamp((top_m - bar.y) / lift.rom_m, 0.0, 1.2);
  const double lean = 0.08 + 0.62 * down;
  const GymPoint hip{bar.x - kTorso_m * std::sin(lean), bar.y - kTorso_m * std::cos(lean), z};
  const GymPoint ankle{0.3 * bar.x - 0.02 + 0.0, kAnkle_m, z + side};
  const GymPoint hip_side{hip.x, hip.y, z + 0.6 * side};
  const GymPoint knee = joint(hip_side, ankle, kThigh_m, kShank_m, true);
  add_limb(out, {knee.x, knee.y, ankle.z}, ankle, 0.065, 0.045, who.skin, 3.0);
  add_limb(out, hip_side, knee, 0.10, 0.07, who.trousers, 5.0);
  out.push_back(
      {.outline =
           limb({ankle.x - 0.06, 0.04, ankle.z}, {ankle.x + 0.17, 0.035, ankle.z}, 0.045, 0.035),
       .colour = {225.0, 225.0, 220.0},
       .texture = 4.0,
       .anchor = ankle});
  if (!near_side) {
    // Torso and head once, between the two sides.
    const GymPoint neck{bar.x + 0.05 * std::cos(lean) + 0.03, bar.y + 0.09, z};
    add_limb(out, hip, {bar.x + 0.07, bar.y - 0.04, z}, 0.125, 0.135, who.shirt, 7.0);
    add_limb(out, neck, {neck.x + 0.05, neck.y + 0.12, z}, 0.055, 0.085, who.skin, 3.0);
    out.push_back(
        {.outline = limb(
             {neck.x + 0.03, neck.y + 0.17, z}, {neck.x + 0.07, neck.y + 0.17, z}, 0.075, 0.07),
         .colour = {55.0, 42.0, 35.0},
         .texture = 6.0,
         .anchor = neck});
    return;
  }
  const GymPoint shoulder{bar.x + 0.07, bar.y - 0.05, z - 0.2};
  const GymPoint hand{bar.x, bar.y, z - 0.38};
  const GymPoint elbow = joint(shoulder, hand, 0.29, 0.27, false);
  const GymPoint low{elbow.x, std::min(elbow.y, shoulder.y - 0.2), z - 0.3};
  add_limb(out, shoulder, low, 0.06, 0.045, who.shirt, 6.0);
  add_limb(out, low, hand, 0.045, 0.035, who.skin, 3.0);
}

void add_rack(Patches& out, double x, double z, double hook_m) {
  const Colour steel{58.0, 60.0, 66.0};
  out.push_back({.outline = box(x - 0.035, 0.0, x + 0.035, 2.3, z), .colour = steel});
  out.push_back({.outline = box(x + 0.012, 0.0, x + 0.035, 2.3, z), .colour = shaded(steel, 1.35)});
  for (double y = 0.3; y < 2.2; y += 0.1)
    out.push_back({.outline = circle({x - 0.012, y, z}, 0.011, 16), .colour = shaded(steel, 0.35)});
  out.push_back({.outline = box(x - 0.09, hook_m - 0.05, x + 0.04, hook_m - 0.02, z),
                 .colour = {150.0, 60.0, 45.0}});
}

}  // namespace

GymPoint disc_centre(const BarMotion& bar, double t_s) {
  return {bar.x.at(t_s).value, bar.height.at(t_s).value, bar.depth.at(t_s).value};
}

Patches still_behind(const Scene& scene) {
  const GymSpec& gym = scene.gym;
  const double z = gym.wall_behind_m;
  constexpr double kWide_m = 30.0;
  Patches out;
  out.push_back({.outline = box(-kWide_m, 0.0, kWide_m, 12.0, z),
                 .colour = gym.wall,
                 .texture = gym.wall_texture,
                 .anchor = {0.0, 0.0, z}});
  // Blocks in the wall, a painted stripe, skirting.
  for (int row = 0; row < 16; ++row)
    out.push_back({.outline = box(-kWide_m, 0.2 * row, kWide_m, 0.2 * row + 0.006, z),
                   .colour = shaded(gym.wall, 0.86)});
  out.push_back({.outline = box(-kWide_m, 1.25, kWide_m, 1.37, z),
                 .colour = {70.0, 110.0, 140.0},
                 .texture = 3.0,
                 .anchor = {0.0, 0.0, z}});
  out.push_back({.outline = box(-kWide_m, 0.0, kWide_m, 0.1, z), .colour = {60.0, 60.0, 60.0}});
  // Bits of the floor that lie behind the lens would fold over: it ends in front of the camera.
  const double near = -scene.camera.distance_m * 0.8;
  out.push_back({.outline = {{-kWide_m, 0.0, z},
                             {kWide_m, 0.0, z},
                             {kWide_m, 0.0, near},
                             {-kWide_m, 0.0, near}},
                 .colour = gym.floor,
                 .texture = 7.0,
                 .anchor = {0.0, 0.0, z}});
  out.push_back(
      {.outline = {{-1.4, 0.0, -0.9}, {1.4, 0.0, -0.9}, {1.4, 0.0, 2.4}, {-1.4, 0.0, 2.4}},
       .colour = shaded(gym.floor, 0.72),
       .texture = 5.0});
  const SetSpec& set = scene.motion.sets.front();
  const LiftFacts lift = facts_of(set.lift);
  if (gym.rack && lift.racked) {
    const double hook = set.top_height_m.value_or(lift.top_height_m) - 0.05;
    const double middle = stack_depth(scene.disc) + 0.5 * kBetweenCollars_m;
    add_rack(out, lift.walk_m + 0.06, middle + 0.55, hook);
    add_rack(out, lift.walk_m + 0.06, middle - 0.55, hook);
  }
  return out;
}

Patches still_in_front(const Scene& scene) {
  Patches out;
  if (scene.gym.rack_in_front_m > 0.0) add_rack(out, 0.12, -scene.gym.rack_in_front_m, 1.2);
  return out;
}

Patches moving(const Scene& scene, const BarMotion& bar, double t_s) {
  const GymPoint c = disc_centre(bar, t_s);
  const SetSpec& set = scene.motion.sets.front();
  const LiftFacts lift = facts_of(set.lift);
  Patches out;
  add_far_end(out, scene, c);
  const double top = set.top_height_m.value_or(lift.top_height_m);
  if (scene.lifter.present) add_standing(out, scene, lift, c, top, false);
  out.push_back(
      {.outline =
           tube({c.x, c.y, c.z + stack_depth(scene.disc)}, kBetweenCollars_m, kGripRadius_m, 24),
       .colour = {150.0, 150.0, 152.0},
       .wrap = true});
  if (scene.lifter.present) add_standing(out, scene, lift, c, top, true);
  const double turn = scene.motion.disc_turn_deg_per_s * kPi / 180.0 * t_s;
  add_near_end(out, scene, c, turn);
  return out;
}

}  // namespace render
