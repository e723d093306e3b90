#include <fstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

#include "samples/render/film.h"
#include "samples/render/truth_json.h"

namespace render {

using nlohmann::json;

json json_of(const std::vector<RepTruth>& reps) {
  json out = json::array();
  for (const RepTruth& r : reps)
    out.push_back({{"set", r.set},
                   {"rep", r.rep},
                   {"kind", r.kind},
                   {"start_s", r.start_s},
                   {"end_s", r.end_s},
                   {"mean_velocity_mps", r.mean_velocity_mps},
                   {"peak_velocity_mps", r.peak_velocity_mps},
                   {"propulsive_velocity_mps", r.propulsive_velocity_mps},
                   {"rom_m", r.rom_m},
                   {"time_to_peak_s", r.time_to_peak_s},
                   {"eccentric_s", r.eccentric_s},
                   {"eccentric_velocity_mps", r.eccentric_velocity_mps},
                   {"pause_s", r.pause_s}});
  return out;
}

void write_truth(const ClipTruth& truth, const std::string& path, std::size_t every) {
  json frames = json::array();
  for (const FrameTruth& f : truth.frames) {
    if (static_cast<std::size_t>(f.index) % every != 0) continue;
    frames.push_back({{"index", f.index},
                      {"t_s", f.t_s},
                      {"stamp_s", f.stamp_s},
                      {"x_m", f.x_m},
                      {"height_m", f.height_m},
                      {"velocity_mps", f.velocity_mps},
                      {"disc_centre_px", {f.disc_centre.x, f.disc_centre.y}},
                      {"rim_centre_px", {f.rim_centre.x, f.rim_centre.y}},
                      {"visible_share", f.visible_share}});
  }
  std::ofstream file(path);
  file << json{{"disc_diameter_m", truth.disc_diameter_m},
               {"reps", json_of(truth.reps)},
               {"frames", frames}}
              .dump(1)
       << '\n';
  if (!file.flush()) throw std::runtime_error(path + ": cannot be written. Check folder and disk");
}

ClipTruth read_truth(const std::string& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error(path + ": cannot be opened. Check the name");
  try {
    const json j = json::parse(file);
    ClipTruth out{.disc_diameter_m = j.at("disc_diameter_m")};
    for (const json& r : j.at("reps"))
      out.reps.push_back({.set = r.at("set"),
                          .rep = r.at("rep"),
                          .kind = r.at("kind"),
                          .start_s = r.at("start_s"),
                          .end_s = r.at("end_s"),
                          .mean_velocity_mps = r.at("mean_velocity_mps"),
                          .peak_velocity_mps = r.at("peak_velocity_mps"),
                          .propulsive_velocity_mps = r.at("propulsive_velocity_mps"),
                          .rom_m = r.at("rom_m"),
                          .time_to_peak_s = r.at("time_to_peak_s"),
                          .eccentric_s = r.at("eccentric_s"),
                          .eccentric_velocity_mps = r.at("eccentric_velocity_mps"),
                          .pause_s = r.at("pause_s")});
    const auto pixel = [](const json& p) { return Pixel{p.at(0), p.at(1)}; };
    for (const json& f : j.at("frames"))
      out.frames.push_back({.index = f.at("index"),
                            .t_s = f.at("t_s"),
                            .stamp_s = f.at("stamp_s"),
                            .x_m = f.at("x_m"),
                            .height_m = f.at("height_m"),
                            .velocity_mps = f.at("velocity_mps"),
                            .disc_centre = pixel(f.at("disc_centre_px")),
                            .rim_centre = pixel(f.at("rim_centre_px")),
                            .visible_share = f.at("visible_share")});
    return out;
  } catch (const json::exception& e) {
    throw std::runtime_error(path + ": is not a truth file: " + e.what());
  }
}

}  // namespace render
