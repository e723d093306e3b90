#include "samples/render/people.h"

#include <algorithm>
#include <numbers>

#include "samples/render/shapes.h"

namespace render {
namespace {

// A grown person of about 1.75 m.
constexpr double kShank_m = 0.44, kThigh_m = 0.43, kTorso_m = 0.47, kAnkle_m = 0.09;
constexpr double kUpperArm_m = 0.30, kForearm_m = 0.28;
constexpr double kSide_m = 0.17;  // from the middle of the body to a foot or shoulder

// Lighter along the middle, so that it looks round.
void add_limb(Patches& out, GymPoint a, GymPoint b, double ra, double rb, Colour c, double cloth) {
  const double steps[][2] = {{1.0, 0.72}, {0.78, 0.88}, {0.5, 1.0}, {0.25, 1.08}};
  for (const auto& [width, light] : steps)
    out.push_back({.outline = limb(a, b, width * ra, width * rb),
                   .colour = shaded(c, light),
                   .texture = cloth,
                   .anchor = a});
}

void add_foot(Patches& out, GymPoint ankle, double toe) {
  out.push_back({.outline = limb({ankle.x - 0.05 * toe, 0.045, ankle.z},
                                 {ankle.x + 0.17 * toe, 0.035, ankle.z},
                                 0.045,
                                 0.033),
                 .colour = {225.0, 225.0, 220.0},
                 .texture = 4.0,
                 .anchor = ankle});
  out.push_back({.outline = box(ankle.x - 0.09 * toe, 0.0, ankle.x + 0.2 * toe, 0.018, ankle.z),
                 .colour = {40.0, 40.0, 42.0}});
}

void add_leg(Patches& out, const LifterSpec& who, GymPoint hip, GymPoint ankle, bool forward) {
  const GymPoint knee = joint(hip, ankle, kThigh_m, kShank_m, forward);
  add_limb(out, {knee.x, knee.y, ankle.z}, ankle, 0.062, 0.042, who.skin, 3.0);
  add_limb(out, hip, {knee.x, knee.y, ankle.z}, 0.10, 0.068, who.trousers, 5.0);
  add_foot(out, ankle, forward ? 1.0 : -1.0);
}

void add_arm(Patches& out, const LifterSpec& who, GymPoint shoulder, GymPoint hand, bool forward) {
  GymPoint elbow = joint(shoulder, hand, kUpperArm_m, kForearm_m, forward);
  elbow.z = 0.5 * (shoulder.z + hand.z);
  add_limb(out, shoulder, elbow, 0.06, 0.046, who.shirt, 6.0);
  add_limb(out, elbow, hand, 0.045, 0.034, who.skin, 3.0);
}

void add_head(Patches& out, const LifterSpec& who, GymPoint at, double look_x, double look_y) {
  add_limb(out, at, {at.x + 0.05 * look_x, at.y + 0.05 * look_y, at.z}, 0.10, 0.09, who.skin, 3.0);
  out.push_back({.outline = limb({at.x - 0.035 * look_x - 0.02 * look_y, at.y + 0.045, at.z},
                                 {at.x + 0.02 * look_x, at.y + 0.055, at.z},
                                 0.085,
                                 0.075),
                 .colour = {55.0, 42.0, 35.0},
                 .texture = 6.0,
                 .anchor = at});
}

struct Frame {
  GymPoint hip, shoulder, head, ankle, hand;
  bool knees_forward = true, elbows_forward = false, hands_on_bar = true;
  double look_x = 1.0, look_y = 0.0;
};

Frame squat_frame(GymPoint bar, double down, double floor_x, double z) {
  const double lean = 0.06 + 0.62 * down;
  Frame f;
  f.hip = {bar.x - kTorso_m * std::sin(lean), bar.y - kTorso_m * std::cos(lean), z};
  f.shoulder = {bar.x + 0.06, bar.y - 0.05, z};
  f.head = {bar.x + 0.10 + 0.05 * down, bar.y + 0.15, z};
  f.ankle = {floor_x - 0.01, kAnkle_m, z};
  f.hand = bar;
  return f;
}

Frame deadlift_frame(GymPoint bar, double up, double floor_x, double z) {
  const double lean = 1.15 * (1.0 - up) + 0.04;
  Frame f;
  f.shoulder = {bar.x + 0.05 * (1.0 - up), bar.y + kUpperArm_m + kForearm_m - 0.01, z};
  f.hip = {f.shoulder.x - kTorso_m * std::sin(lean), f.shoulder.y - kTorso_m * std::cos(lean), z};
  f.head = {
      f.shoulder.x + 0.17 * std::sin(lean) + 0.03, f.shoulder.y + 0.2 * std::cos(lean) + 0.06, z};
  f.ankle = {floor_x - 0.06, kAnkle_m, z};
  f.hand = bar;
  return f;
}

Frame bench_frame(GymPoint bar, double z) {
  Frame f;
  f.shoulder = {0.02, 0.55, z};
  f.hip = {-0.46, 0.53, z};
  f.head = {0.24, 0.55, z};
  f.ankle = {-0.70, kAnkle_m, z};
  f.hand = bar;
  f.knees_forward = false;
  f.look_x = 0.0;
  f.look_y = 1.0;
  return f;
}

Frame press_frame(GymPoint bar, double floor_x, double z) {
  Frame f;
  f.hip = {floor_x - 0.06, 0.94, z};
  f.shoulder = {floor_x - 0.05, 0.94 + kTorso_m, z};
  f.head = {floor_x - 0.03, 0.94 + kTorso_m + 0.2, z};
  f.ankle = {floor_x - 0.06, kAnkle_m, z};
  f.hand = bar;
  f.elbows_forward = true;
  return f;
}

Frame row_frame(GymPoint bar, double floor_x, double z) {
  Frame f;
  f.hip = {floor_x - 0.42, 0.84, z};
  f.shoulder = {floor_x, 1.08, z};
  f.head = {floor_x + 0.17, 1.2, z};
  f.ankle = {floor_x - 0.12, kAnkle_m, z};
  f.hand = bar;
  return f;
}

void add_side(Patches& out, const LifterSpec& who, const Frame& f, double side, bool arm_last) {
  const auto beside = [&](GymPoint p, double k) {
    p.z += k * side;
    return p;
  };
  add_leg(out, who, beside(f.hip, 0.5), beside(f.ankle, 1.0), f.knees_forward);
  if (arm_last) add_arm(out, who, beside(f.shoulder, 1.0), beside(f.hand, 2.2), f.elbows_forward);
}

}  // namespace

Body lifter_pose(
    const LifterSpec& who, const SetSpec& set, GymPoint bar, double middle_z_m, double floor_x_m) {
  const LiftFacts lift = facts_of(set.lift);
  const double top = set.top_height_m.value_or(lift.top_height_m);
  const double rom = set.rom_m.value_or(lift.rom_m);
  const GymPoint hold{bar.x, bar.y, middle_z_m};
  Frame f;
  if (lift.lying)
    f = bench_frame(hold, middle_z_m);
  else if (set.lift == "deadlift")
    f = deadlift_frame(hold, std::clamp((bar.y - 0.225) / rom, 0.0, 1.05), floor_x_m, middle_z_m);
  else if (set.lift == "press")
    f = press_frame(hold, floor_x_m, middle_z_m);
  else if (set.lift == "row")
    f = row_frame(hold, floor_x_m, middle_z_m);
  else
    f = squat_frame(hold, std::clamp((top - bar.y) / rom, 0.0, 1.2), floor_x_m, middle_z_m);

  Body body;
  add_side(body.behind, who, f, kSide_m, true);
  add_limb(body.behind, f.hip, f.shoulder, 0.12, 0.13, who.shirt, 7.0);
  add_limb(body.behind, f.shoulder, f.head, 0.06, 0.06, who.skin, 3.0);
  add_head(body.behind, who, f.head, f.look_x, f.look_y);
  add_side(body.before, who, f, -kSide_m, true);
  return body;
}

void add_walker(
    Patches& out, const LifterSpec& who, double x, double z, double phase, bool to_right) {
  const double facing = to_right ? 1.0 : -1.0;
  const double swing = std::sin(std::numbers::pi * phase);
  const double bob = 0.02 * std::cos(2.0 * std::numbers::pi * phase);
  const GymPoint hip{x, 0.90 + bob, z};
  const GymPoint shoulder{x + 0.03 * facing, 1.38 + bob, z};
  const auto foot = [&](double s) {
    return GymPoint{x + 0.30 * s * facing, kAnkle_m + 0.06 * std::max(0.0, -s * swing), z};
  };
  add_leg(out, who, hip, foot(-swing), to_right);
  add_arm(out, who, shoulder, {x + 0.25 * swing * facing, 0.88 + bob, z}, !to_right);
  add_leg(out, who, hip, foot(swing), to_right);
  add_limb(out, hip, shoulder, 0.13, 0.15, who.shirt, 7.0);
  add_head(out, who, {x + 0.04 * facing, 1.60 + bob, z}, facing, 0.0);
  add_arm(out, who, shoulder, {x - 0.25 * swing * facing, 0.88 + bob, z}, !to_right);
}

void add_stander(Patches& out, const LifterSpec& who, double x, double z, GymPoint hands) {
  const bool to_right = hands.x > x;
  const GymPoint hip{x, 0.92, z}, shoulder{x, 1.39, z};
  add_leg(out, who, hip, {x - 0.10, kAnkle_m, z}, to_right);
  add_leg(out, who, hip, {x + 0.12, kAnkle_m, z}, to_right);
  add_limb(out, hip, shoulder, 0.14, 0.16, who.shirt, 7.0);
  add_head(out, who, {x, 1.62, z}, to_right ? 1.0 : -1.0, 0.0);
  add_arm(out, who, shoulder, {hands.x, hands.y, z}, !to_right);
}

}  // namespace render
