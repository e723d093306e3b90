#include "samples/render/gear.h"

#include <algorithm>
#include <numbers>

#include "samples/render/shapes.h"

namespace render {
namespace {

constexpr double kPi = std::numbers::pi;
// By common rule books: 28 mm grip, 50 mm sleeve.
constexpr double kGripRadius_m = 0.014;
constexpr double kSleeveRadius_m = 0.025;
constexpr int kRimCorners = 180;

std::vector<GymPoint> tube(GymPoint from, double depth_m, double radius_m, int corners) {
  std::vector<GymPoint> out = circle(from, radius_m, corners);
  const std::vector<GymPoint> far = circle({from.x, from.y, from.z + depth_m}, radius_m, corners);
  out.insert(out.end(), far.begin(), far.end());
  return out;
}

// Raised dummy letters and a ring groove on the face, turned by `turn`.
void add_face(Patches& out, const DiscSpec& disc, GymPoint c, double turn) {
  const double r = 0.5 * disc.diameter_m;
  const bool steel = disc.look == "steel";
  out.push_back({.outline = circle(c, r, kRimCorners),
                 .colour = disc.colour,
                 .texture = disc.look == "plain" ? 0.0 : 2.0,
                 .anchor = c,
                 .onto = shaded(disc.colour, 0.7)});
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

}  // namespace

void add_far_end(Patches& out, const DiscSpec& disc, GymPoint bar) {
  const double z = bar.z + stack_depth_m(disc) + kBetweenCollars_m;
  const GymPoint c{bar.x, bar.y, z};
  out.push_back({.outline = tube(c, stack_depth_m(disc), 0.5 * disc.diameter_m, 64),
                 .colour = shaded(disc.colour, 0.6),
                 .wrap = true});
  out.push_back({.outline = circle(c, 0.5 * disc.diameter_m),
                 .colour = shaded(disc.colour, 0.8),
                 .onto = shaded(disc.colour, 0.6)});
  out.push_back(
      {.outline = circle(c, 0.86 * 0.5 * disc.diameter_m), .colour = shaded(disc.colour, 0.7)});
}

void add_near_end(Patches& out, const DiscSpec& disc, GymPoint bar, double turn_rad) {
  out.push_back({.outline = tube(bar, stack_depth_m(disc), 0.5 * disc.diameter_m, kRimCorners),
                 .colour = shaded(disc.colour, 0.7),
                 .wrap = true});
  add_face(out, disc, bar, turn_rad);
  double used = stack_depth_m(disc);
  if (disc.small_diameter_m > 0.0) {
    add_small_disc(out, disc.small_diameter_m, {bar.x, bar.y, bar.z - kSmallDepth_m});
    used += kSmallDepth_m;
  }
  add_sleeve(out, {bar.x, bar.y, bar.z + stack_depth_m(disc) - used}, kSleeve_m - used);
}

void add_small_disc(Patches& out, double diameter_m, GymPoint c) {
  const Colour iron{95.0, 97.0, 102.0};
  const double r = 0.5 * diameter_m;
  out.push_back(
      {.outline = tube(c, kSmallDepth_m, r, 96), .colour = shaded(iron, 0.7), .wrap = true});
  out.push_back({.outline = circle(c, r), .colour = iron, .onto = shaded(iron, 0.7)});
  out.push_back({.outline = circle(c, 0.85 * r), .colour = shaded(iron, 0.85)});
  out.push_back({.outline = circle(c, 0.3 * r), .colour = shaded(iron, 1.15)});
}

void add_sleeve(Patches& out, GymPoint from, double length_m) {
  const double length = std::max(0.05, length_m);
  const GymPoint tip{from.x, from.y, from.z - length};
  out.push_back({.outline = tube(tip, length, kSleeveRadius_m, 32),
                 .colour = {125.0, 127.0, 130.0},
                 .wrap = true});
  out.push_back({.outline = circle(tip, kSleeveRadius_m, 32), .colour = {165.0, 167.0, 170.0}});
  out.push_back({.outline = circle(tip, 0.4 * kSleeveRadius_m, 20), .colour = {60.0, 60.0, 62.0}});
}

void add_grip(Patches& out, const DiscSpec& disc, GymPoint bar) {
  out.push_back(
      {.outline =
           tube({bar.x, bar.y, bar.z + stack_depth_m(disc)}, kBetweenCollars_m, kGripRadius_m, 20),
       .colour = {150.0, 150.0, 152.0},
       .wrap = true});
}

void add_disc(Patches& out, const DiscSpec& disc, GymPoint c, double turn_rad) {
  out.push_back({.outline = tube(c, disc.thickness_m, 0.5 * disc.diameter_m, 96),
                 .colour = shaded(disc.colour, 0.7),
                 .wrap = true});
  add_face(out, disc, c, turn_rad);
  out.push_back({.outline = circle(c, kSleeveRadius_m, 32), .colour = {30.0, 30.0, 30.0}});
}

void add_upright(Patches& out, double x, double z, double height_m, double hook_m) {
  const Colour steel{58.0, 60.0, 66.0};
  out.push_back({.outline = box(x - 0.035, 0.0, x + 0.035, height_m, z), .colour = steel});
  out.push_back(
      {.outline = box(x + 0.012, 0.0, x + 0.035, height_m, z), .colour = shaded(steel, 1.35)});
  for (double y = 0.3; y < height_m - 0.1; y += 0.1)
    out.push_back({.outline = circle({x - 0.012, y, z}, 0.011, 16), .colour = shaded(steel, 0.35)});
  out.push_back({.outline = box(x - 0.09, hook_m - 0.05, x + 0.04, hook_m - 0.02, z),
                 .colour = {150.0, 60.0, 45.0}});
}

}  // namespace render
