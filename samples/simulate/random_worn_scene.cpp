// Made-up logs as people bring them who never calibrated anything: what counts is the number of
// repetitions in each set.
#include <algorithm>
#include <cmath>

#include <nlohmann/json.hpp>

#include "samples/render/dice.h"
#include "samples/render/scene.h"
#include "samples/simulate/sensor_spec.h"

namespace simulate {
namespace {

using nlohmann::json;
using render::Dice;

double rounded(double v, double step) {
  return std::round(v / step) * step;
}

template <typename T, std::size_t N>
T pick(Dice& dice, const T (&from)[N]) {
  return from[static_cast<std::size_t>(dice.whole(0, static_cast<int>(N) - 1))];
}

json draw_set(Dice& dice, double before_s) {
  const char* const lifts[] = {"squat", "bench", "deadlift", "press", "row"};
  const char* const shapes[] = {"smooth", "smooth", "early", "late", "speed"};
  json set{{"lift", pick(dice, lifts)},
           {"reps", dice.whole(5, 10)},
           {"shape", pick(dice, shapes)},
           {"slowing", rounded(dice.uniform(0.0, 0.06), 0.001)},
           {"variation", rounded(dice.uniform(0.02, 0.08), 0.001)},
           {"rest_s", rounded(dice.uniform(0.15, 1.0), 0.01)},
           {"walk_out", dice.chance(0.5)},
           {"before_s", rounded(before_s, 0.1)}};
  const double up = dice.uniform(0.5, 1.8);
  set["concentric_s"] = rounded(up, 0.001);
  set["eccentric_s"] = rounded(std::max(0.5, up * dice.uniform(0.8, 1.5)), 0.001);
  if (set["lift"] == "squat" || set["lift"] == "bench")
    set["pause_s"] = dice.chance(0.7) ? 0.0 : rounded(dice.uniform(0.15, 0.8), 0.01);
  return set;
}

json draw_sensor(Dice& dice) {
  const bool wrist = dice.chance(0.6);
  const bool gyroscope = dice.chance(0.85);
  const char* const places[] = {"collar", "middle", "sleeve"};
  const char* const times[] = {"epoch_ms", "iso", "s", "clock"};
  const char* const headers[] = {"plain", "words", "short"};
  const bool apart = gyroscope && dice.chance(0.6);
  const double rates[] = {12.5, 25, 50, 100};
  const double rate = apart ? (dice.chance(0.7) ? 12.5 : 50.0) : pick(dice, rates);
  json mount{{"place", wrist ? "wrist" : pick(dice, places)},
             {"off_axis_m", rounded(dice.uniform(0.03, 0.08), 0.001)},
             {"bar_pitch_deg", rounded(dice.uniform(wrist ? 5.0 : 2.0, wrist ? 40.0 : 15.0), 0.1)},
             {"bar_pitch_noise_deg", rounded(dice.uniform(0.5, wrist ? 5.0 : 2.0), 0.1)},
             {"bar_tilt_deg", rounded(dice.uniform(0.3, wrist ? 3.0 : 0.6), 0.1)}};
  json errors{{"accel_scale_pct", rounded(dice.uniform(0.5, 3.0), 0.1)},
              {"gyro_scale_pct", rounded(dice.uniform(0.5, 3.0), 0.1)},
              {"accel_bias_mg", rounded(dice.uniform(5.0, 60.0), 1)},
              {"gyro_bias_dps", rounded(dice.uniform(0.1, 3.0), 0.1)},
              {"accel_range_g", dice.chance(0.5) ? 4 : 16}};
  json clock{{"skew_ppm", rounded(dice.around(40.0), 1)},
             {"jitter_s", rounded(dice.uniform(0.0, 0.1) / rate, 1e-5)},
             {"gyro_late_s", rounded(dice.uniform(0.0, 0.05), 1e-3)},
             {"gyro_rate_hz", rounded(apart ? rate * (dice.chance(0.7) ? 2.0 : 1.0) : 0.0, 0.1)}};
  json file{{"time", pick(dice, times)},
            {"accel_unit", "g"},
            {"gyro_unit", "deg/s"},
            {"accel_decimals", 3},
            {"gyro_decimals", 3},
            {"header", apart ? "axis" : pick(dice, headers)},
            {"gyro_file", apart}};
  return {{"rate_hz", rate},
          {"gyroscope", gyroscope},
          {"mount", mount},
          {"shake",
           {{"contacts", rounded(dice.uniform(0.2, 1.0), 0.01)},
            {"rattle_mps2", rounded(dice.uniform(0.05, 0.4), 0.01)},
            {"tremor_mm", wrist ? 0.2 : 0.0}}},
          {"errors", errors},
          {"clock", clock},
          {"file", file}};
}

// Walking about with the sensor between two instants, with the wrist or in the hand.
json draw_walk(Dice& dice, double from_s, double to_s) {
  return {{"at_s", rounded(from_s, 0.01)},
          {"length_s", rounded(to_s - from_s, 0.01)},
          {"rise_m", rounded(dice.uniform(-0.6, 0.8), 0.01)},
          {"turn_deg", rounded(dice.uniform(30.0, 140.0), 1)},
          {"knocks", dice.whole(0, 3)},
          {"steps_mm", rounded(dice.uniform(5.0, 25.0), 0.1)},
          {"swing_deg", rounded(dice.uniform(5.0, 30.0), 0.1)},
          {"returns", true}};
}

// From shortly before the first repetition to shortly after the last one.
void cut_short(Dice& dice, const render::BarMotion& bar, json& sensor) {
  sensor["starts_before_s"] =
      rounded(dice.uniform(0.1, 0.9) - bar.reps.front().descent_start_s, 0.001);
  // A deadlift's last repetition ends on the floor again.
  sensor["ends_after_s"] =
      rounded(bar.reps.back().rise_end_s + dice.uniform(0.1, 0.9) - bar.end_s, 0.001);
}

// A walk in each rest between two sets, and before the first and after the last.
void walk_about(Dice& dice, const render::BarMotion& bar, json& sensor) {
  const double before = dice.uniform(8.0, 20.0), after = dice.uniform(8.0, 20.0);
  const double shy_s = 4.5;  // the bar is taken out and put back
  sensor["starts_before_s"] = rounded(before + 2.0, 0.01);
  sensor["ends_after_s"] = rounded(after + 2.0, 0.01);
  json walks = json::array();
  walks.push_back(draw_walk(dice, -before, -1.0));
  for (std::size_t k = 0; k + 1 < bar.reps.size(); ++k) {
    if (bar.reps[k].set == bar.reps[k + 1].set) continue;
    const double from = bar.reps[k].rise_end_s + shy_s;
    const double to = bar.reps[k + 1].descent_start_s - shy_s;
    if (to - from > 4.0) walks.push_back(draw_walk(dice, from, to));
  }
  walks.push_back(draw_walk(dice, bar.end_s + 1.0, bar.end_s + after));
  sensor["handled"] = walks;
}

}  // namespace

std::string random_worn_scene(std::uint64_t seed) {
  Dice dice(seed * 0xD1B54A32D192ED03ULL + 155);
  json sensor = draw_sensor(dice);
  const double kind = dice.uniform(0.0, 1.0);
  const bool workout = kind<0.3, rest_only = kind> 0.93;
  json sets = json::array();
  const int count = workout ? dice.whole(2, 5) : 1;
  for (int k = 0; k < count; ++k)
    sets.push_back(draw_set(dice, k == 0 ? 2.0 : dice.uniform(25.0, 60.0)));
  if (rest_only) {
    sets[0]["reps"] = 0;
    sets[0]["walk_out"] = false;
  }
  json scene{{"about", "made up, uncalibrated"},
             {"seed", seed},
             {"motion", {{"sets", sets}, {"sway_m", rounded(dice.uniform(0.002, 0.008), 1e-4)}}}};
  const render::Scene parsed = render::parse_scene(scene.dump(), "made up");
  const render::BarMotion bar = render::script_motion(parsed.motion, parsed.seed);
  if (!bar.reps.empty() && !workout && dice.chance(0.7))
    cut_short(dice, bar, sensor);
  else
    walk_about(dice, bar, sensor);
  scene["sensor"] = sensor;
  return scene.dump(2);
}

}  // namespace simulate
