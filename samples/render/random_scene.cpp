// Made-up scenes for tests on clips nobody has looked at: every condition the renderer knows turns
// up, alone or, when asked to be hard, piled on others.
#include <algorithm>

#include <nlohmann/json.hpp>

#include "samples/render/dice.h"
#include "samples/render/scene.h"

namespace render {
namespace {

using nlohmann::json;

double rounded(double v, double step) {
  return std::round(v / step) * step;
}

template <typename T, std::size_t N>
T pick(Dice& dice, const T (&from)[N]) {
  return from[static_cast<std::size_t>(dice.whole(0, static_cast<int>(N) - 1))];
}

json draw_set(Dice& dice, bool hard) {
  const char* const lifts[] = {
      "squat", "squat", "box_squat", "bench", "bench", "deadlift", "press", "row"};
  const char* const shapes[] = {"smooth", "smooth", "early", "late", "speed", "grinder"};
  const std::string lift = pick(dice, lifts);
  json set{{"lift", lift},
           {"reps", dice.whole(3, 7)},
           {"shape", pick(dice, shapes)},
           {"slowing", rounded(dice.uniform(0.0, 0.08), 0.001)},
           {"rest_s", rounded(dice.uniform(0.25, 1.2), 0.01)},
           {"walk_out", dice.chance(0.6)}};
  const double ups[] = {0.6, 0.8, 1.0, 1.4, 2.0};
  const double up = pick(dice, ups) * dice.uniform(0.9, 1.15);
  set["concentric_s"] = rounded(set["shape"] == "grinder" ? std::max(up, 1.5) : up, 0.001);
  set["eccentric_s"] = rounded(dice.uniform(0.7, 1.8), 0.001);
  if (lift == "squat" || lift == "bench")
    set["pause_s"] = dice.chance(0.5) ? 0.0 : rounded(dice.uniform(0.15, 1.2), 0.01);
  if (lift == "box_squat") set["pause_s"] = rounded(dice.uniform(0.3, 2.5), 0.01);
  if (lift == "bench") set["sideways_m"] = rounded(dice.uniform(0.04, 0.10), 0.001);
  const double endings = dice.uniform(0.0, 1.0);
  if (endings < (hard ? 0.2 : 0.08))
    set["last_rep"] = "failed";
  else if (endings < (hard ? 0.35 : 0.16))
    set["last_rep"] = "grinder";
  else if (endings < (hard ? 0.45 : 0.2) && set["reps"] > 3)
    set["partial_reps"] = {3};
  return set;
}

json draw_camera(Dice& dice, bool hard, const std::string& lift) {
  const int sizes[][2] = {{1280, 720}, {1280, 720}, {1920, 1080}, {1920, 1080}, {1440, 1080}};
  const auto& size = sizes[dice.whole(0, 4)];
  const double middle = lift == "squat" || lift == "box_squat" ? 1.05 : lift == "press" ? 1.4 : 0.8;
  const double distance = dice.uniform(3.0, hard ? 5.5 : 4.2);
  json camera{{"width_px", size[0]},
              {"height_px", size[1]},
              {"distance_m", rounded(distance, 0.01)},
              {"aim_height_m", rounded(middle + dice.uniform(-0.08, 0.08), 0.01)},
              {"aim_x_m", rounded(dice.uniform(-0.15, 0.25), 0.01)}};
  // The picture's height covers 2.2 to 2.8 m where the bar is.
  camera["focal_px"] = rounded(size[1] * distance / dice.uniform(2.2, hard ? 3.2 : 2.6), 1.0);
  const bool square = dice.chance(hard ? 0.15 : 0.4);
  camera["height_m"] = square ? camera["aim_height_m"].get<double>()
                              : rounded(dice.uniform(0.6, hard ? 1.9 : 1.5), 0.01);
  if (!square) camera["yaw_deg"] = rounded(dice.uniform(-1.0, 1.0) * (hard ? 30.0 : 20.0), 0.1);
  if (dice.chance(0.4)) camera["roll_deg"] = rounded(dice.around(hard ? 2.0 : 1.0), 0.1);
  if (dice.chance(hard ? 0.4 : 0.15)) {
    camera["k1"] = rounded(dice.uniform(-0.06, 0.02), 0.001);
    camera["k2"] = rounded(dice.uniform(0.0, 0.01), 0.001);
  }
  return camera;
}

json draw_capture(Dice& dice, bool hard, json& analysis) {
  const double rates[] = {24, 25, 29.97, 30, 30, 30, 50, 59.94, 60, 60, 120};
  const double rate = pick(dice, rates);
  json cap{{"frame_rate_hz", rate},
           {"preset", "ultrafast"},
           {"exposure_s", rounded(std::min(0.7 / rate, dice.uniform(0.002, 0.016)), 0.0001)},
           {"noise_sigma", rounded(dice.uniform(0.8, hard ? 6.0 : 3.0), 0.1)},
           {"blur_sigma_px", rounded(dice.uniform(0.4, hard ? 1.4 : 0.9), 0.01)},
           {"crf", dice.whole(20, hard ? 32 : 27)}};
  if (dice.chance(0.6)) {
    cap["readout_s"] = rounded(std::min(0.9 / rate, dice.uniform(0.004, 0.016)), 0.0001);
    if (dice.chance(0.4)) analysis["readout_s"] = cap["readout_s"];
  }
  if (dice.chance(hard ? 0.5 : 0.25)) {
    cap["contrast"] = rounded(dice.uniform(0.45, 0.85), 0.01);
    cap["vignette"] = rounded(dice.uniform(0.0, 0.4), 0.01);
  }
  if (dice.chance(0.3)) {
    cap["flicker"] = rounded(dice.uniform(0.03, 0.15), 0.01);
    cap["mains_hz"] = dice.chance(0.5) ? 50 : 60;
    cap["light_drift"] = rounded(dice.uniform(0.0, 0.1), 0.01);
  }
  if (dice.chance(hard ? 0.4 : 0.2)) {
    cap["stamp_jitter_s"] = rounded(dice.uniform(0.0005, 0.12 / rate), 0.0001);
    cap["dropped_share"] = rounded(dice.uniform(0.0, 0.05), 0.001);
  }
  if (hard && dice.chance(0.15)) cap["repeated_share"] = 0.02;
  if (dice.chance(0.2)) {
    const int turns[] = {90, 180, 270};
    cap["rotation_deg"] = pick(dice, turns);
  }
  if (rate >= 100.0 && dice.chance(0.7)) {
    cap["stored_rate_hz"] = 30;
    if (dice.chance(0.5)) cap["slow_motion_tag"] = true;
    analysis["capture_rate_hz"] = rate;
  }
  const double codec = dice.uniform(0.0, 1.0);
  if (codec > 0.95)
    cap["codec"] = "mjpeg";
  else if (codec > 0.9)
    cap["codec"] = "vp9";
  else if (codec > 0.85) {
    cap["codec"] = "hevc";
  }
  // Their containers keep no rotation: the clip would lie on its side.
  if (codec > 0.9) cap.erase("rotation_deg");
  return cap;
}

json draw_disc(Dice& dice) {
  const char* const looks[] = {"plain", "bumper", "bumper", "steel"};
  const Colour colours[] = {{30, 31, 33},
                            {45, 46, 50},
                            {60, 62, 66},
                            {150, 35, 40},
                            {35, 60, 125},
                            {200, 165, 40},
                            {35, 95, 55},
                            {110, 112, 118}};
  const Colour c = pick(dice, colours);
  json disc{{"look", pick(dice, looks)},
            {"colour", {c.r, c.g, c.b}},
            {"thickness_m", rounded(dice.uniform(0.03, 0.09), 0.001)},
            {"count", dice.chance(0.3) ? 2 : 1}};
  if (dice.chance(0.25)) disc["small_diameter_m"] = rounded(dice.uniform(0.16, 0.33), 0.001);
  if (dice.chance(0.2)) disc["sticker"] = true;
  return disc;
}

json draw_gym(Dice& dice) {
  const double wall = dice.uniform(75.0, 190.0);
  json gym{{"wall",
            {rounded(wall + dice.uniform(-12, 12), 1),
             rounded(wall, 1),
             rounded(wall + dice.uniform(-15, 10), 1)}},
           {"wall_texture", rounded(dice.uniform(2.0, 10.0), 0.1)},
           {"wall_behind_m", rounded(dice.uniform(3.0, 7.0), 0.1)}};
  if (dice.chance(0.4)) gym["clock"] = true;
  if (dice.chance(0.4)) gym["stored_discs"] = dice.whole(1, 5);
  if (dice.chance(0.2)) gym["fan"] = true;
  if (dice.chance(0.15)) gym["ball"] = true;
  if (dice.chance(0.2)) gym["window"] = true;
  if (dice.chance(0.2)) {
    gym["rack_in_front_m"] = rounded(dice.uniform(0.2, 0.6), 0.01);
    gym["rack_in_front_x_m"] = rounded(dice.uniform(-0.35, 0.35), 0.01);
  }
  return gym;
}

}  // namespace

std::string random_scene(std::uint64_t seed, bool hard) {
  Dice dice(seed * 0x9E3779B97F4A7C15ULL + (hard ? 77 : 0));
  json analysis = json::object();
  const json set = draw_set(dice, hard);
  json scene{
      {"about", hard ? "made up, hard" : "made up"},
      {"seed", seed},
      {"camera", draw_camera(dice, hard, set["lift"])},
      {"disc", draw_disc(dice)},
      {"gym", draw_gym(dice)},
      {"motion", {{"sets", {set}}, {"sway_m", rounded(dice.uniform(0.001, 0.006), 0.0001)}}}};
  scene["capture"] = draw_capture(dice, hard, analysis);
  if (scene["capture"].value("rotation_deg", 0) % 180 != 0 && dice.chance(0.7)) {
    // Held upright: the sensor's long side stands; look at the bar from a bit farther.
    std::swap(scene["camera"]["width_px"], scene["camera"]["height_px"]);
    scene["camera"]["distance_m"] =
        rounded(1.1 * scene["camera"]["distance_m"].get<double>(), 0.01);
  }
  const double length = 8.0 + 3.0 * set["reps"].get<int>();
  if (dice.chance(hard ? 0.3 : 0.12))
    scene["knocks"] = {{{"at_s", rounded(dice.uniform(2.0, length), 0.01)},
                        {"swing_px", rounded(dice.uniform(3.0, 12.0), 0.1)},
                        {"shift_x_px", rounded(dice.around(5.0), 0.1)},
                        {"shift_y_px", rounded(dice.around(5.0), 0.1)},
                        {"turn_deg", rounded(dice.around(0.15), 0.01)}}};
  if (dice.chance(hard ? 0.25 : 0.1))
    scene["tremor_px"] = rounded(dice.uniform(0.5, hard ? 5.0 : 2.0), 0.1);
  if (dice.chance(hard ? 0.5 : 0.3)) {
    const bool front = dice.chance(0.4);
    scene["walkers"] = {
        {{"at_s", rounded(dice.uniform(2.0, length), 0.01)},
         {"speed_mps", rounded(dice.uniform(0.9, 1.6) * (dice.chance(0.5) ? 1 : -1), 0.01)},
         {"z_m", front ? -0.8 : 2.2},
         {"carries_disc", !front && dice.chance(0.5)}}};
  }
  if (dice.chance(hard ? 0.3 : 0.12)) {
    json spotter{{"x_m", rounded(dice.uniform(0.26, 0.4) * (dice.chance(0.5) ? 1 : -1), 0.01)}};
    if (dice.chance(0.4)) spotter["covers_at_s"] = {rounded(dice.uniform(3.0, length), 0.01)};
    scene["spotters"] = {spotter};
  }
  if (dice.chance(hard ? 0.3 : 0.15))
    scene["second_rigs"] = {
        {{"x_m", rounded(dice.uniform(0.8, 1.6) * (dice.chance(0.5) ? 1 : -1), 0.01)},
         {"z_m", 3.0},
         {"set",
          {{"lift", dice.chance(0.5) ? "squat" : "deadlift"}, {"reps", 5}, {"before_s", 0.5}}}}};
  if (scene.contains("second_rigs")) scene["gym"]["wall_behind_m"] = 6.0;
  if (!analysis.empty()) scene["analysis"] = analysis;
  return scene.dump(2);
}

}  // namespace render
