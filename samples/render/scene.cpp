#include "samples/render/scene.h"

#include <fstream>
#include <sstream>
#include <stdexcept>

#include "samples/render/fields.h"

namespace render {
using nlohmann::json;

// Fields finds these by the struct's namespace, which an unnamed one would hide.
static void read_fields(const json& j, Colour& c, const std::string& where) {
  if (!j.is_array() || j.size() != 3)
    throw std::runtime_error(where + ": a colour is [red, green, blue], each 0 to 255");
  c = {j[0].get<double>(), j[1].get<double>(), j[2].get<double>()};
}

static void read_fields(const json& j, CameraSpec& c, const std::string& where) {
  Fields f(j, where);
  f.get("width_px", c.width_px)
      .get("height_px", c.height_px)
      .get("distance_m", c.distance_m)
      .get("height_m", c.height_m)
      .get("yaw_deg", c.yaw_deg)
      .get("roll_deg", c.roll_deg)
      .get("aim_x_m", c.aim_x_m)
      .get("aim_height_m", c.aim_height_m)
      .get("focal_px", c.focal_px)
      .get("k1", c.k1)
      .get("k2", c.k2)
      .done();
  f.in_range("width_px", c.width_px, 64, 7680)
      .in_range("height_px", c.height_px, 64, 4320)
      .in_range("distance_m", c.distance_m, 1.0, 20.0)
      .in_range("focal_px", c.focal_px, 50, 20000)
      .in_range("yaw_deg", c.yaw_deg, -60, 60);
  if (c.width_px % 2 != 0 || c.height_px % 2 != 0)
    throw std::runtime_error(where + ": width_px and height_px must be even");
}

static void read_fields(const json& j, LightStepSpec& s, const std::string& where) {
  Fields f(j, where);
  f.get("at_s", s.at_s).get("share", s.share).done();
  f.in_range("share", s.share, -0.9, 2.0);
}

static void read_fields(const json& j, CaptureSpec& c, const std::string& where) {
  Fields f(j, where);
  f.get("frame_rate_hz", c.frame_rate_hz)
      .get("stored_rate_hz", c.stored_rate_hz)
      .get("slow_motion_tag", c.slow_motion_tag)
      .get("exposure_s", c.exposure_s)
      .get("readout_s", c.readout_s)
      .get("noise_sigma", c.noise_sigma)
      .get("blur_sigma_px", c.blur_sigma_px)
      .get("contrast", c.contrast)
      .get("brightness", c.brightness)
      .get("vignette", c.vignette)
      .get("flicker", c.flicker)
      .get("mains_hz", c.mains_hz)
      .get("light_drift", c.light_drift)
      .get("light_steps", c.light_steps)
      .get("stamp_jitter_s", c.stamp_jitter_s)
      .get("stamp_error_s", c.stamp_error_s)
      .get("delivered_rate_hz", c.delivered_rate_hz)
      .get("dropped_share", c.dropped_share)
      .get("repeated_share", c.repeated_share)
      .get("same_stamp_share", c.same_stamp_share)
      .get("rotation_deg", c.rotation_deg)
      .get("crf", c.crf)
      .get("bit_rate_bps", c.bit_rate_bps)
      .get("codec", c.codec)
      .get("preset", c.preset)
      .get("key_every_s", c.key_every_s)
      .done();
  f.in_range("frame_rate_hz", c.frame_rate_hz, 1, 1000)
      .in_range("exposure_s", c.exposure_s, 0, 1)
      .in_range("readout_s", c.readout_s, 0, 0.1)
      .in_range("crf", c.crf, 0, 51)
      .in_range("bit_rate_bps", c.bit_rate_bps, 0, 1e9)
      .in_range("key_every_s", c.key_every_s, 0, 60)
      .in_range("stored_rate_hz", c.stored_rate_hz, 0, 1000)
      .in_range("noise_sigma", c.noise_sigma, 0, 60)
      .in_range("vignette", c.vignette, 0, 0.9)
      .in_range("blur_sigma_px", c.blur_sigma_px, 0, 20)
      .in_range("delivered_rate_hz", c.delivered_rate_hz, 0, 1000)
      .in_range("dropped_share", c.dropped_share, 0, 0.9)
      .in_range("repeated_share", c.repeated_share, 0, 0.9)
      .in_range("same_stamp_share", c.same_stamp_share, 0, 0.9);
  if (c.delivered_rate_hz > 0.0 && c.stored_rate_hz > 0.0)
    throw std::runtime_error(where + ".delivered_rate_hz: not together with stored_rate_hz");
  if (c.bit_rate_bps > 0.0 && c.codec != "h264")
    throw std::runtime_error(where + ".bit_rate_bps: of h264 only");
  if (c.rotation_deg != 0 && c.rotation_deg != 90 && c.rotation_deg != 180 && c.rotation_deg != 270)
    throw std::runtime_error(where + ".rotation_deg: use 0, 90, 180 or 270");
}

static void read_fields(const json& j, KnockSpec& k, const std::string& where) {
  Fields(j, where)
      .get("at_s", k.at_s)
      .get("swing_px", k.swing_px)
      .get("frequency_hz", k.frequency_hz)
      .get("decay_s", k.decay_s)
      .get("shift_x_px", k.shift_x_px)
      .get("shift_y_px", k.shift_y_px)
      .get("turn_deg", k.turn_deg)
      .done();
}

static void read_fields(const json& j, WalkerSpec& w, const std::string& where) {
  Fields(j, where)
      .get("at_s", w.at_s)
      .get("speed_mps", w.speed_mps)
      .get("z_m", w.z_m)
      .get("carries_disc", w.carries_disc)
      .done();
}

static void read_fields(const json& j, SpotterSpec& s, const std::string& where) {
  Fields(j, where)
      .get("x_m", s.x_m)
      .get("z_m", s.z_m)
      .get("sway_m", s.sway_m)
      .get("covers_at_s", s.covers_at_s)
      .get("cover_s", s.cover_s)
      .done();
}

static void read_fields(const json& j, PlateChangeSpec& p, const std::string& where) {
  Fields(j, where).get("at_s", p.at_s).get("diameter_m", p.diameter_m).done();
}

static void read_fields(const json& j, SecondRigSpec& r, const std::string& where) {
  Fields(j, where).get("x_m", r.x_m).get("z_m", r.z_m).get("at_s", r.at_s).get("set", r.set).done();
}

static void read_fields(const json& j, SetSpec& s, const std::string& where) {
  Fields f(j, where);
  f.get("lift", s.lift)
      .get("reps", s.reps)
      .get("rom_m", s.rom_m)
      .get("top_height_m", s.top_height_m)
      .get("concentric_s", s.concentric_s)
      .get("eccentric_s", s.eccentric_s)
      .get("pause_s", s.pause_s)
      .get("rest_s", s.rest_s)
      .get("shape", s.shape)
      .get("slowing", s.slowing)
      .get("variation", s.variation)
      .get("last_rep", s.last_rep)
      .get("partial_reps", s.partial_reps)
      .get("lowering", s.lowering)
      .get("walk_out", s.walk_out)
      .get("sideways_m", s.sideways_m)
      .get("rock_m", s.rock_m)
      .get("before_s", s.before_s)
      .get("after_s", s.after_s)
      .done();
  f.in_range("reps", s.reps, 0, 100).one_of("lowering", s.lowering, {"guided", "dropped"});
}

static void read_fields(const json& j, MotionSpec& m, const std::string& where) {
  Fields(j, where)
      .get("sets", m.sets)
      .get("sway_m", m.sway_m)
      .get("depth_drift_m", m.depth_drift_m)
      .get("disc_turn_deg_per_s", m.disc_turn_deg_per_s)
      .done();
}

static void read_fields(const json& j, DiscSpec& d, const std::string& where) {
  Fields(j, where)
      .get("diameter_m", d.diameter_m)
      .get("thickness_m", d.thickness_m)
      .get("look", d.look)
      .get("colour", d.colour)
      .get("count", d.count)
      .get("small_diameter_m", d.small_diameter_m)
      .get("sticker", d.sticker)
      .get("rest_of_bar", d.rest_of_bar)
      .done();
}

static void read_fields(const json& j, GymSpec& g, const std::string& where) {
  Fields(j, where)
      .get("wall", g.wall)
      .get("floor", g.floor)
      .get("wall_texture", g.wall_texture)
      .get("wall_behind_m", g.wall_behind_m)
      .get("posters", g.posters)
      .get("window", g.window)
      .get("clock", g.clock)
      .get("stored_discs", g.stored_discs)
      .get("fan", g.fan)
      .get("ball", g.ball)
      .get("rack", g.rack)
      .get("rack_in_front_m", g.rack_in_front_m)
      .get("rack_in_front_x_m", g.rack_in_front_x_m)
      .done();
}

static void read_fields(const json& j, LifterSpec& l, const std::string& where) {
  Fields(j, where)
      .get("present", l.present)
      .get("shirt", l.shirt)
      .get("trousers", l.trousers)
      .get("skin", l.skin)
      .done();
}

static void read_fields(const json& j, TurnSpec& t, const std::string& where) {
  Fields(j, where)
      .get("at_s", t.at_s)
      .get("set", t.set)
      .get("lifter", t.lifter)
      .get("disc", t.disc)
      .done();
}

static Scene scene_from(const json& j, const std::string& where) {
  Scene s;
  // "about" and "analysis" are for whoever measures the clip, not for its making; "sensor" is read
  // by samples/simulate, which makes the log of a sensor on the same bar.
  Fields(j, where)
      .allow("about")
      .allow("analysis")
      .allow("sensor")
      .get("seed", s.seed)
      .get("camera", s.camera)
      .get("capture", s.capture)
      .get("motion", s.motion)
      .get("disc", s.disc)
      .get("gym", s.gym)
      .get("lifter", s.lifter)
      .get("tremor_px", s.tremor_px)
      .get("knocks", s.knocks)
      .get("walkers", s.walkers)
      .get("spotters", s.spotters)
      .get("plate_changes", s.plate_changes)
      .get("second_rigs", s.second_rigs)
      .get("turns", s.turns)
      .get("length_s", s.length_s)
      .done();
  for (std::size_t k = 1; k < s.turns.size(); ++k) {
    if (!(s.turns[k].at_s > s.turns[k - 1].at_s))
      throw std::runtime_error(where + ".turns[" + std::to_string(k) +
                               "].at_s: must be later than the turn before");
  }
  return s;
}

Scene parse_scene(const std::string& text, const std::string& where) {
  try {
    return scene_from(json::parse(text, nullptr, true, true), where);
  } catch (const json::parse_error& e) {
    throw std::runtime_error(where + ": is not JSON: " + e.what());
  }
}

Scene read_scene(const std::string& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error(path + ": cannot be opened. Check the name");
  std::ostringstream text;
  text << file.rdbuf();
  return parse_scene(text.str(), path);
}

}  // namespace render
