#include <fstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

#include "samples/render/film.h"

namespace render {

using nlohmann::json;

void write_truth(const ClipTruth& truth, const std::string& path) {
  json reps = json::array();
  for (const RepTruth& r : truth.reps)
    reps.push_back({{"set", r.set},
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
  json frames = json::array();
  for (const FrameTruth& f : truth.frames)
    frames.push_back({{"index", f.index},
                      {"t_s", f.t_s},
                      {"stamp_s", f.stamp_s},
                      {"x_m", f.x_m},
                      {"height_m", f.height_m},
                      {"velocity_mps", f.velocity_mps},
                      {"disc_centre_px", {f.disc_centre.x, f.disc_centre.y}},
                      {"visible_share", f.visible_share}});
  std::ofstream file(path);
  file << json{{"disc_diameter_m", truth.disc_diameter_m}, {"reps", reps}, {"frames", frames}}.dump(
              1)
       << '\n';
  if (!file.flush()) throw std::runtime_error(path + ": cannot be written. Check folder and disk");
}

}  // namespace render
