#include "samples/render/stage.h"

#include <algorithm>
#include <numbers>
#include <stdexcept>
#include <string>

#include "samples/render/gear.h"
#include "samples/render/people.h"
#include "samples/render/shapes.h"

namespace render {
namespace {

constexpr double kPi = std::numbers::pi;

double smooth_step(double s) {
  return minimum_jerk()->at(std::clamp(s, 0.0, 1.0)).value;
}

// Where the lifter's feet are: they follow the bar during the walk-out only, and not its wobble.
double feet_at(const SetSpec& set, const BarMotion& bar, double t) {
  const LiftFacts lift = facts_of(set.lift);
  if (lift.lying || !lift.racked || !set.walk_out) return 0.0;
  const double first = bar.reps.empty() ? bar.end_s : bar.reps.front().descent_start_s;
  const double last = bar.reps.empty() ? 0.0 : bar.reps.back().rise_end_s;
  const bool racked_side = t < first - 0.5 || t > last + 0.4;
  return racked_side ? bar.x.at(t).value : 0.0;
}

// How far the lifter is from the place at the bar: walking in before the set, out after it.
double lifter_away_m(const BarMotion& bar, double t) {
  constexpr double kWalk_mps = 1.1, kGone_m = 12.0;
  const double early = bar.begins_s - t, late = t - bar.begins_s - bar.end_s;
  return std::clamp(kWalk_mps * std::max(early, late), 0.0, kGone_m);
}

void add_rig(std::vector<Actor>& out,
             const Scene& scene,
             const SetSpec& set,
             const BarMotion& bar,
             GymPoint offset,
             double away_m,
             double t) {
  const DiscSpec& disc = scene.disc;
  const GymPoint at = disc_centre(bar, t);
  const double middle = at.z + stack_depth_m(disc) + 0.5 * kBetweenCollars_m;
  Body body;
  if (scene.lifter.present) {
    body = lifter_pose(scene.lifter, set, at, middle, feet_at(set, bar, t - bar.begins_s));
  }
  Actor rig;
  if (disc.rest_of_bar) add_far_end(rig.patches, disc, at);
  const auto append = [&](Patches& more) {
    for (Patch& p : more) p.anchor.x += away_m;
    for (Patch& p : more)
      for (GymPoint& q : p.outline) q.x += away_m;
    rig.patches.insert(rig.patches.end(), more.begin(), more.end());
  };
  append(body.behind);
  if (disc.rest_of_bar) add_grip(rig.patches, disc, at);
  append(body.before);
  const double turn = scene.motion.disc_turn_deg_per_s * kPi / 180.0 * t;
  add_near_end(rig.patches, disc, at, turn);
  for (Patch& p : rig.patches) {
    p.anchor = p.anchor + offset;
    for (GymPoint& q : p.outline) q = q + offset;
  }
  out.push_back(std::move(rig));
}

LifterSpec dressed(int number) {
  const Colour shirts[] = {{60, 90, 120}, {200, 200, 205}, {40, 40, 42}, {150, 120, 40}};
  const Colour trousers[] = {{30, 30, 34}, {70, 72, 80}, {110, 100, 85}, {40, 45, 70}};
  const Colour skins[] = {{200, 160, 135}, {120, 85, 65}, {170, 125, 100}, {95, 68, 55}};
  LifterSpec who;
  who.shirt = shirts[number % 4];
  who.trousers = trousers[(number + 1) % 4];
  who.skin = skins[(number + 2) % 4];
  return who;
}

Actor walker(const WalkerSpec& spec, const DiscSpec& disc, int number, double t) {
  constexpr double kStep_m = 0.7;
  // Far outside the picture is as good as gone.
  const double x = std::clamp(spec.speed_mps * (t - spec.at_s), -25.0, 25.0);
  const bool to_right = spec.speed_mps > 0.0;
  Actor out{.patches = {}, .hides_disc = spec.z_m < 0.0};
  add_walker(
      out.patches, dressed(number), x, spec.z_m, x / kStep_m * (to_right ? 1.0 : -1.0), to_right);
  if (spec.carries_disc)
    add_disc(out.patches, disc, {x + (to_right ? 0.2 : -0.2), 0.85, spec.z_m - 0.25}, 0.3);
  return out;
}

Actor spotter(const SpotterSpec& spec, int number, GymPoint disc, double t) {
  constexpr double kStepIn_s = 0.35;
  double x = spec.x_m + spec.sway_m * std::sin(2.0 * kPi * 0.4 * t);
  // Steps in until the body is over the disc, stays, and steps out again.
  for (const double at : spec.covers_at_s) {
    const double in = smooth_step((t - at + 0.5 * spec.cover_s + kStepIn_s) / kStepIn_s);
    const double back = smooth_step((t - at - 0.5 * spec.cover_s) / kStepIn_s);
    x += (disc.x - spec.x_m) * (in - back);
  }
  Actor out{.patches = {}, .hides_disc = true};
  add_stander(out.patches, dressed(number), x, spec.z_m, {x - 0.3, 0.95, spec.z_m});
  return out;
}

// Walks in with a disc, slides it on, and walks out again.
Actor plate_change(
    const PlateChangeSpec& spec, const DiscSpec& disc, int number, GymPoint bar, double t) {
  constexpr double kWalk_mps = 1.1, kSlide_s = 1.2;
  const double stand_x = bar.x - 0.45;
  const double early = spec.at_s - kSlide_s - t, late = t - spec.at_s - 0.5;
  const double away = std::clamp(kWalk_mps * std::max({early, late, 0.0}), 0.0, 12.0);
  const double x = stand_x - away;
  const double z = bar.z - kSleeve_m;
  const double slid = smooth_step((t - spec.at_s + kSlide_s) / kSlide_s);
  Actor out{.patches = {}, .hides_disc = true};
  const GymPoint on{bar.x, bar.y, bar.z - kSmallDepth_m};
  const GymPoint carried{x + 0.38, bar.y, z};
  const GymPoint at = t >= spec.at_s ? on
                      : early > 0.0  ? carried
                                     : GymPoint{bar.x + (1 - slid) * (carried.x - bar.x),
                                               bar.y,
                                               carried.z + slid * (on.z - carried.z)};
  add_small_disc(out.patches, spec.diameter_m, at);
  add_sleeve(out.patches,
             {bar.x, bar.y, bar.z - kSmallDepth_m},
             kSleeve_m - stack_depth_m(disc) - kSmallDepth_m);
  if (early > 0.0) {
    add_walker(out.patches, dressed(number), x, z, x / 0.7, true);
  } else {
    add_walker(out.patches, dressed(number), x, z, x / 0.7, false);
  }
  return out;
}

Actor fan(const Scene& scene, double t) {
  const GymPoint c{1.5, 0.75, scene.gym.wall_behind_m - 0.6};
  Actor out;
  out.patches.push_back({.outline = circle(c, 0.24, 64), .colour = {52.0, 54.0, 58.0}});
  out.patches.push_back({.outline = circle(c, 0.225, 64), .colour = {92.0, 96.0, 100.0}});
  for (int blade = 0; blade < 3; ++blade) {
    const double a = 2.0 * kPi * (blade / 3.0 + 1.7 * t);
    out.patches.push_back(
        {.outline = ring_piece(c, 0.03, 0.21, a, a + 1.1), .colour = {180.0, 185.0, 190.0}});
  }
  out.patches.push_back({.outline = circle(c, 0.05, 32), .colour = {40.0, 40.0, 44.0}});
  return out;
}

Actor rolling_ball(double t) {
  constexpr double kRadius_m = 0.225;
  const double x = -4.0 + 0.5 * t;
  const GymPoint c{x, kRadius_m, 2.6};
  Actor out;
  out.patches.push_back({.outline = circle(c, kRadius_m, 64), .colour = {165.0, 60.0, 50.0}});
  out.patches.push_back(
      {.outline = circle({c.x - 0.05, c.y + 0.06, c.z}, 0.13, 48), .colour = {185.0, 85.0, 70.0}});
  const double a = -x / kRadius_m;
  out.patches.push_back(
      {.outline = circle({c.x + 0.12 * std::cos(a), c.y + 0.12 * std::sin(a), c.z}, 0.035, 24),
       .colour = {230.0, 225.0, 210.0}});
  return out;
}

}  // namespace

GymPoint disc_centre(const BarMotion& bar, double t_s) {
  const double t = t_s - bar.begins_s;
  return {bar.x.at(t).value, bar.height.at(t).value, bar.depth.at(t).value};
}

Motions script_scene(const Scene& scene) {
  Motions out{.bar = script_motion(scene.motion, scene.seed), .second = {}};
  for (std::size_t k = 0; k < scene.second_rigs.size(); ++k) {
    MotionSpec spec = scene.motion;
    spec.sets = {scene.second_rigs[k].set};
    out.second.push_back(script_motion(spec, scene.seed + 1000 * (k + 1)));
    out.second.back().begins_s = scene.second_rigs[k].at_s;
  }
  return out;
}

std::vector<Turn> script_turns(const Scene& scene) {
  if (scene.turns.empty()) return {{.from_s = 0.0, .scene = scene, .motions = script_scene(scene)}};
  std::vector<Turn> out;
  double last_end_s = 0.0;
  for (std::size_t k = 0; k < scene.turns.size(); ++k) {
    const TurnSpec& spec = scene.turns[k];
    Turn& turn = out.emplace_back();
    turn.scene = scene;
    turn.scene.turns.clear();
    turn.scene.motion.sets = {spec.set};
    turn.scene.lifter = spec.lifter;
    if (spec.disc) turn.scene.disc = *spec.disc;
    turn.motions = script_scene(turn.scene);
    // Everybody's reps differ a little, second lifters' stay as they are.
    turn.motions.bar = script_motion(turn.scene.motion, scene.seed + 31 * (k + 1));
    turn.motions.bar.begins_s = spec.at_s;
    turn.motions.comes_and_goes = true;
    for (RepMark& mark : turn.motions.bar.reps) mark.set = static_cast<int>(k) + 1;
    turn.from_s = k == 0 ? 0.0 : 0.5 * (last_end_s + spec.at_s);
    last_end_s = spec.at_s + turn.motions.bar.end_s;
    if (k + 1 < scene.turns.size() && scene.turns[k + 1].at_s < last_end_s)
      throw std::invalid_argument("turn " + std::to_string(k + 2) + " begins before turn " +
                                  std::to_string(k + 1) + " has ended");
  }
  return out;
}

std::vector<Actor> actors(const Scene& scene, const Motions& motions, double t) {
  std::vector<Actor> out;
  const GymPoint bar = disc_centre(motions.bar, t);
  if (scene.gym.fan) out.push_back(fan(scene, t));
  for (std::size_t k = 0; k < scene.second_rigs.size(); ++k) {
    const SecondRigSpec& rig = scene.second_rigs[k];
    add_rig(out, scene, rig.set, motions.second[k], {rig.x_m, 0.0, rig.z_m}, 0.0, t);
  }
  if (scene.gym.ball) out.push_back(rolling_ball(t));
  int number = 0;
  for (const WalkerSpec& w : scene.walkers)
    if (w.z_m >= 0.0) out.push_back(walker(w, scene.disc, number++, t));
  const double away_m = motions.comes_and_goes ? lifter_away_m(motions.bar, t) : 0.0;
  add_rig(out, scene, scene.motion.sets.front(), motions.bar, {}, away_m, t);
  for (const PlateChangeSpec& p : scene.plate_changes)
    out.push_back(plate_change(p, scene.disc, number++, bar, t));
  for (const SpotterSpec& s : scene.spotters) out.push_back(spotter(s, number++, bar, t));
  for (const WalkerSpec& w : scene.walkers)
    if (w.z_m < 0.0) out.push_back(walker(w, scene.disc, number++, t));
  return out;
}

}  // namespace render
