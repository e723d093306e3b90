#include "samples/simulate/sensor_spec.h"

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

#include "samples/render/fields.h"

namespace simulate {

using nlohmann::json;
using render::Fields;

static void read_fields(const json& j, MountSpec& m, const std::string& where) {
  Fields f(j, where);
  f.get("place", m.place)
      .get("off_axis_m", m.off_axis_m)
      .get("angles_deg", m.angles_deg)
      .get("upside_down", m.upside_down)
      .get("bar_pitch_deg", m.bar_pitch_deg)
      .get("bar_pitch_noise_deg", m.bar_pitch_noise_deg)
      .get("bar_tilt_deg", m.bar_tilt_deg)
      .get("sleeve_turn_deg", m.sleeve_turn_deg)
      .get("spin_turns", m.spin_turns)
      .done();
  f.one_of("place", m.place, {"collar", "sleeve", "middle", "wrist"})
      .in_range("off_axis_m", m.off_axis_m, 0, 0.25)
      .in_range("bar_tilt_deg", m.bar_tilt_deg, 0, 5)
      .in_range("bar_pitch_noise_deg", m.bar_pitch_noise_deg, 0, 20)
      .in_range("spin_turns", m.spin_turns, -20, 20);
}

static void read_fields(const json& j, ShakeSpec& s, const std::string& where) {
  Fields f(j, where);
  f.get("contacts", s.contacts)
      .get("rattle_mps2", s.rattle_mps2)
      .get("whip_mm", s.whip_mm)
      .get("tremor_mm", s.tremor_mm)
      .get("plate_change_g", s.plate_change_g)
      .done();
  f.in_range("contacts", s.contacts, 0, 20)
      .in_range("rattle_mps2", s.rattle_mps2, 0, 50)
      .in_range("whip_mm", s.whip_mm, 0, 30)
      .in_range("tremor_mm", s.tremor_mm, 0, 5)
      .in_range("plate_change_g", s.plate_change_g, 0, 50);
}

static void read_fields(const json& j, ErrorSpec& e, const std::string& where) {
  Fields f(j, where);
  bool none = false;
  f.get("none", none);
  if (none) e = no_errors();
  f.get("accel_noise_ug_rthz", e.accel_noise_ug_rthz)
      .get("gyro_noise_dps_rthz", e.gyro_noise_dps_rthz)
      .get("accel_bias_mg", e.accel_bias_mg)
      .get("gyro_bias_dps", e.gyro_bias_dps)
      .get("accel_walk_ug_rts", e.accel_walk_ug_rts)
      .get("gyro_walk_dps_rts", e.gyro_walk_dps_rts)
      .get("accel_instability_mg", e.accel_instability_mg)
      .get("gyro_instability_dps", e.gyro_instability_dps)
      .get("instability_s", e.instability_s)
      .get("accel_scale_pct", e.accel_scale_pct)
      .get("gyro_scale_pct", e.gyro_scale_pct)
      .get("misalignment_deg", e.misalignment_deg)
      .get("gyro_per_g_dps", e.gyro_per_g_dps)
      .get("accel_range_g", e.accel_range_g)
      .get("gyro_range_dps", e.gyro_range_dps)
      .get("bits", e.bits)
      .get("filter_hz", e.filter_hz)
      .get("height_step_mm", e.height_step_mm)
      .get("height_noise_mm", e.height_noise_mm)
      .get("cable_aside_m", e.cable_aside_m)
      .done();
  f.in_range("accel_range_g", e.accel_range_g, 0, 1000)
      .in_range("gyro_range_dps", e.gyro_range_dps, 0, 100000)
      .in_range("bits", e.bits, 0, 32)
      .in_range("filter_hz", e.filter_hz.value_or(1.0), 0, 10000)
      .in_range("instability_s", e.instability_s, 0.1, 1e6);
}

static void read_fields(const json& j, GapSpec& g, const std::string& where) {
  Fields(j, where).get("at_s", g.at_s).get("length_s", g.length_s).done();
}

static void read_fields(const json& j, ClockSpec& c, const std::string& where) {
  Fields f(j, where);
  f.get("skew_ppm", c.skew_ppm)
      .get("jitter_s", c.jitter_s)
      .get("stamp_error_s", c.stamp_error_s)
      .get("rows_a_packet", c.rows_a_packet)
      .get("dropped_share", c.dropped_share)
      .get("repeated_share", c.repeated_share)
      .get("swapped_share", c.swapped_share)
      .get("gyro_late_s", c.gyro_late_s)
      .get("gyro_rate_hz", c.gyro_rate_hz)
      .get("gaps", c.gaps)
      .get("awake_s", c.awake_s)
      .done();
  f.in_range("skew_ppm", c.skew_ppm, -1e5, 1e5)
      .in_range("rows_a_packet", c.rows_a_packet, 1, 100)
      .in_range("gyro_rate_hz", c.gyro_rate_hz, 0, 10000)
      .in_range("dropped_share", c.dropped_share, 0, 0.9)
      .in_range("repeated_share", c.repeated_share, 0, 0.9)
      .in_range("swapped_share", c.swapped_share, 0, 0.9);
}

static void read_fields(const json& j, FileSpec& s, const std::string& where) {
  Fields f(j, where);
  f.get("delimiter", s.delimiter)
      .get("decimal_comma", s.decimal_comma)
      .get("time", s.time)
      .get("started_unix_s", s.started_unix_s)
      .get("accel_unit", s.accel_unit)
      .get("gyro_unit", s.gyro_unit)
      .get("height_unit", s.height_unit)
      .get("header", s.header)
      .get("accel_decimals", s.accel_decimals)
      .get("gyro_decimals", s.gyro_decimals)
      .get("time_decimals", s.time_decimals)
      .get("gyro_first", s.gyro_first)
      .get("gyro_file", s.gyro_file)
      .get("extra_columns", s.extra_columns)
      .get("magnitude", s.magnitude)
      .get("comments", s.comments)
      .get("quoted", s.quoted)
      .get("crlf", s.crlf)
      .get("byte_order_mark", s.byte_order_mark)
      .done();
  f.one_of("time", s.time, {"s", "ms", "us", "ns", "epoch_s", "epoch_ms", "iso", "clock", "none"})
      .one_of("accel_unit", s.accel_unit, {"m/s2", "g", "mg"})
      .one_of("gyro_unit", s.gyro_unit, {"rad/s", "deg/s", "mdeg/s"})
      .one_of("height_unit", s.height_unit, {"m", "cm", "mm"})
      .one_of("header", s.header, {"plain", "words", "short", "axis", "none"})
      .in_range("accel_decimals", s.accel_decimals, 0, 12)
      .in_range("gyro_decimals", s.gyro_decimals, 0, 12)
      .in_range("time_decimals", s.time_decimals, 0, 9);
  if (s.decimal_comma && s.delimiter == ",")
    throw std::runtime_error(where + ".decimal_comma: needs another delimiter, such as \";\"");
}

static void read_fields(const json& j, HandlingSpec& h, const std::string& where) {
  Fields f(j, where);
  f.get("at_s", h.at_s)
      .get("length_s", h.length_s)
      .get("rise_m", h.rise_m)
      .get("turn_deg", h.turn_deg)
      .get("knocks", h.knocks)
      .get("steps_mm", h.steps_mm)
      .get("swing_deg", h.swing_deg)
      .get("returns", h.returns)
      .done();
  f.in_range("length_s", h.length_s, 1.0, 3600)
      .in_range("knocks", h.knocks, 0, 1000)
      .in_range("steps_mm", h.steps_mm, 0, 100)
      .in_range("swing_deg", h.swing_deg, 0, 90);
}

static SensorSpec sensor_from(const json& j, const std::string& where) {
  SensorSpec s;
  Fields f(j, where);
  f.get("seed", s.seed)
      .get("kind", s.kind)
      .get("rate_hz", s.rate_hz)
      .get("gyroscope", s.gyroscope)
      .get("starts_before_s", s.starts_before_s)
      .get("ends_after_s", s.ends_after_s)
      .get("latitude_deg", s.latitude_deg)
      .get("mount", s.mount)
      .get("shake", s.shake)
      .get("errors", s.errors)
      .get("clock", s.clock)
      .get("file", s.file)
      .get("handled", s.handled)
      .get("plates_changed_s", s.plates_changed_s)
      .done();
  f.one_of("kind", s.kind, {"inertial", "position"})
      .in_range("rate_hz", s.rate_hz, 1, 10000)
      .in_range("starts_before_s", s.starts_before_s, -3600, 3600)
      .in_range("ends_after_s", s.ends_after_s, -3600, 3600)
      .in_range("latitude_deg", s.latitude_deg.value_or(0.0), -90, 90);
  return s;
}

SensorSpec parse_sensor(const std::string& scene_text, const std::string& where) {
  try {
    const json scene = json::parse(scene_text, nullptr, true, true);
    return sensor_from(scene.value("sensor", json::object()), where + ".sensor");
  } catch (const json::exception& e) {
    throw std::runtime_error(where + ": is not a scene in JSON: " + e.what());
  }
}

SensorSpec read_sensor(const std::string& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error(path + ": cannot be opened. Check the name");
  std::ostringstream text;
  text << file.rdbuf();
  return parse_sensor(text.str(), path);
}

ErrorSpec no_errors() {
  return {.accel_noise_ug_rthz = 0.0,
          .gyro_noise_dps_rthz = 0.0,
          .accel_bias_mg = 0.0,
          .gyro_bias_dps = 0.0,
          .accel_walk_ug_rts = 0.0,
          .gyro_walk_dps_rts = 0.0,
          .accel_instability_mg = 0.0,
          .gyro_instability_dps = 0.0,
          .accel_scale_pct = 0.0,
          .gyro_scale_pct = 0.0,
          .misalignment_deg = 0.0,
          .gyro_per_g_dps = 0.0,
          .accel_range_g = 0.0,
          .gyro_range_dps = 0.0,
          .bits = 0,
          .filter_hz = 0.0,
          .height_step_mm = 0.0,
          .height_noise_mm = 0.0,
          .cable_aside_m = 0.0};
}

double gravity_mps2(const SensorSpec& spec) {
  if (!spec.latitude_deg) return 9.80665;
  const double c = std::cos(2.0 * *spec.latitude_deg * std::numbers::pi / 180.0);
  return 9.80616 - 0.025928 * c + 0.000069 * c * c;
}

}  // namespace simulate
