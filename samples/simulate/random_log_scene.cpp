// Made-up sensors for tests on logs nobody has looked at: on top of a made-up clip, every condition
// the simulator knows turns up, alone or, when asked to be hard, piled on others.
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

json draw_mount(Dice& dice, bool hard) {
  const char* const places[] = {"collar", "collar", "sleeve", "middle"};
  json mount{{"place", pick(dice, places)},
             {"off_axis_m", rounded(dice.uniform(0.02, 0.05), 0.001)}};
  if (dice.chance(0.2)) mount["upside_down"] = true;
  mount["bar_pitch_deg"] = rounded(dice.uniform(2.0, hard ? 30.0 : 15.0), 0.1);
  mount["bar_pitch_noise_deg"] = rounded(dice.uniform(0.5, hard ? 4.0 : 2.0), 0.1);
  if (mount["place"] == "sleeve" && dice.chance(hard ? 0.5 : 0.2)) {
    mount["spin_turns"] = rounded(dice.uniform(-3.0, 3.0), 0.1);
    if (dice.chance(0.5)) mount["off_axis_m"] = rounded(dice.uniform(0.05, 0.12), 0.001);
  }
  return mount;
}

json draw_shake(Dice& dice, bool hard) {
  json shake{{"contacts", rounded(dice.uniform(0.3, hard ? 3.0 : 1.5), 0.01)},
             {"rattle_mps2", rounded(dice.uniform(0.05, hard ? 2.0 : 0.6), 0.01)}};
  if (dice.chance(0.3)) shake["whip_mm"] = rounded(dice.uniform(0.5, hard ? 5.0 : 2.0), 0.1);
  if (dice.chance(0.3)) shake["tremor_mm"] = rounded(dice.uniform(0.05, hard ? 0.4 : 0.2), 0.01);
  return shake;
}

json draw_errors(Dice& dice, bool hard) {
  const int ranges_g[] = {4, 8, 8, 16, 16};
  const int bits[] = {12, 13, 14, 16, 16};
  const double worse = hard ? 2.0 : 1.0;
  json errors{{"accel_noise_ug_rthz", rounded(worse * dice.uniform(80, 300), 1)},
              {"gyro_noise_dps_rthz", rounded(worse * dice.uniform(0.004, 0.02), 0.001)},
              {"accel_bias_mg", rounded(worse * dice.uniform(5, 40), 1)},
              {"gyro_bias_dps", rounded(worse * dice.uniform(0.1, 2.0), 0.1)},
              {"accel_scale_pct", rounded(worse * dice.uniform(0.3, 1.5), 0.1)},
              {"accel_range_g", hard && dice.chance(0.3) ? 2 : pick(dice, ranges_g)},
              {"bits", pick(dice, bits)}};
  if (dice.chance(0.3)) errors["filter_hz"] = 0;
  return errors;
}

json draw_clock(Dice& dice, bool hard, double rate_hz) {
  json clock{{"skew_ppm", rounded(dice.around(40.0), 1)}};
  if (dice.chance(0.5)) clock["jitter_s"] = rounded(dice.uniform(0.02, 0.15) / rate_hz, 1e-5);
  if (dice.chance(hard ? 0.6 : 0.3))
    clock["stamp_error_s"] = rounded(dice.uniform(0.02, 0.1) / rate_hz, 1e-5);
  if (dice.chance(hard ? 0.6 : 0.3))
    clock["dropped_share"] = rounded(dice.uniform(0.001, hard ? 0.05 : 0.01), 0.001);
  if (dice.chance(0.15)) clock["repeated_share"] = 0.01;
  if (hard && dice.chance(0.2)) clock["rows_a_packet"] = dice.whole(2, 8);
  return clock;
}

json draw_file(Dice& dice, double rate_hz, bool gyroscope) {
  const char* const times[] = {"s", "s", "ms", "us", "epoch_ms", "iso"};
  const char* const accel_units[] = {"m/s2", "g", "g", "mg"};
  const char* const gyro_units[] = {"rad/s", "deg/s", "deg/s"};
  const char* const headers[] = {"plain", "words", "short", "axis"};
  json file{{"time", pick(dice, times)},
            {"accel_unit", pick(dice, accel_units)},
            {"gyro_unit", pick(dice, gyro_units)},
            {"header", pick(dice, headers)}};
  // Whole milliseconds cannot tell rows apart that come faster.
  if (rate_hz > 500.0 && file["time"] != "us") file["time"] = "s";
  file["accel_decimals"] = file["accel_unit"] == "mg" ? 1 : file["accel_unit"] == "g" ? 4 : 3;
  file["gyro_decimals"] = file["gyro_unit"] == "deg/s" ? 2 : 4;
  if (dice.chance(0.25)) file["delimiter"] = dice.chance(0.5) ? ";" : "\t";
  if (file.value("delimiter", ",") == ";" && dice.chance(0.5)) file["decimal_comma"] = true;
  // Two files have one kind of axis each, so bare axis names will do.
  if (gyroscope && file["header"] == "axis") file["gyro_file"] = true;
  if (dice.chance(0.2)) file["extra_columns"] = true;
  if (dice.chance(0.15)) file["comments"] = true;
  if (dice.chance(0.15)) file["quoted"] = true;
  if (dice.chance(0.15)) file["crlf"] = true;
  return file;
}

}  // namespace

std::string random_log_scene(std::uint64_t seed, bool hard) {
  Dice dice(seed * 0xD1B54A32D192ED03ULL + (hard ? 78 : 1));
  json scene = json::parse(render::random_scene(seed, hard));
  const double rates[] = {25, 50, 50, 100, 100, 100, 200};
  double rate = pick(dice, rates);
  if (dice.chance(0.5)) rate *= 1.0 + dice.around(0.01);  // hardly ever what the box says
  const bool gyroscope = dice.chance(0.7);
  json sensor{{"rate_hz", rounded(rate, 0.01)},
              {"gyroscope", gyroscope},
              {"starts_before_s", rounded(dice.uniform(1.0, 6.0), 0.01)},
              {"ends_after_s", rounded(dice.uniform(1.0, 6.0), 0.01)},
              {"latitude_deg", rounded(dice.uniform(-60.0, 60.0), 1)},
              {"mount", draw_mount(dice, hard)},
              {"shake", draw_shake(dice, hard)},
              {"errors", draw_errors(dice, hard)},
              {"clock", draw_clock(dice, hard, rate)},
              {"file", draw_file(dice, rate, gyroscope)}};
  json& sets = scene["motion"]["sets"];
  if (dice.chance(0.4)) {  // more sets of the same, with rests and plate changes
    const int more = dice.whole(1, 2);
    for (int k = 0; k < more; ++k) {
      json set = sets[0];
      set["before_s"] = rounded(dice.uniform(8.0, 40.0), 0.1);
      set["last_rep"] = "full";
      sets.push_back(set);
    }
    if (sets[0].value("last_rep", "full") == "failed") sets[0]["last_rep"] = "full";
  }
  if (dice.chance(hard ? 0.5 : 0.25)) {
    const double lasts = rounded(dice.uniform(3.0, 8.0), 0.1);
    sensor["handled"] = {{{"at_s", rounded(-lasts - dice.uniform(3.0, 8.0), 0.1)},
                          {"length_s", lasts},
                          {"rise_m", rounded(dice.uniform(0.2, 1.2), 0.01)},
                          {"turn_deg", rounded(dice.uniform(60.0, 170.0), 1)}}};
    sensor["starts_before_s"] = rounded(lasts + 12.0, 0.1);
  }
  scene["sensor"] = sensor;
  return scene.dump(2);
}

}  // namespace simulate
