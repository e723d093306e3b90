#include "tests/end_to_end/clips.h"

#include <fstream>
#include <numbers>
#include <random>
#include <sstream>
#include <stdexcept>

#include <nlohmann/json.hpp>

namespace accuracy {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

void write_text(const fs::path& path, const std::string& text) {
  std::ofstream file(path, std::ios::binary);
  file << text;
  if (!file.flush()) throw std::runtime_error(path.string() + ": cannot be written");
}

std::string ending_for(const std::string& codec) {
  if (codec == "vp9") return ".webm";
  if (codec == "mjpeg") return ".mkv";
  if (codec == "mpeg4") return ".avi";
  return ".mp4";
}

/// No disc is quite as wide as its kind: what the coach says of it is off by anything within the
/// millimetre that the federation's rules allow (IWF Technical and Competition Rules, from memory).
constexpr double kToldWithin_m = 0.001;

double told_diameter_m(const render::Scene& made) {
  std::mt19937_64 dice(made.seed);
  std::uniform_real_distribution<double> off_m(-kToldWithin_m, kToldWithin_m);
  return made.disc.diameter_m + off_m(dice);
}

kinetics::AnalysisOptions options_for(const json& scene, const render::Scene& made) {
  kinetics::AnalysisOptions out;
  out.tracking.disc_diameter_m = told_diameter_m(made);
  const json told = scene.value("analysis", json::object());
  if (told.contains("readout_s")) out.tracking.readout_s = told["readout_s"].get<double>();
  if (told.contains("capture_rate_hz"))
    out.clip.capture_rate_hz = told["capture_rate_hz"].get<double>();
  if (told.contains("camera_roll_deg"))
    out.tracking.camera_roll_rad = told["camera_roll_deg"].get<double>() * std::numbers::pi / 180.0;
  return out;
}

}  // namespace

std::vector<double> told_diameters_m(const render::Scene& made) {
  constexpr int kCount = 11;
  std::vector<double> out;
  for (int k = 0; k < kCount; ++k) {
    const double place = (2.0 * k + 1.0) / kCount - 1.0;  // middles of equal parts of -1 to 1
    out.push_back(made.disc.diameter_m + kToldWithin_m * place);
  }
  return out;
}

MadeClip make_clip(const std::string& name, const std::string& scene_json, const fs::path& cache) {
  fs::create_directories(cache);
  const fs::path scene_file = cache / (name + ".json");
  const fs::path truth_file = cache / (name + ".truth.json");
  MadeClip out{.name = name,
               .file = {},
               .scene = render::parse_scene(scene_json, name),
               .truth = {},
               .options = {}};
  out.file = cache / (name + ending_for(out.scene.capture.codec));
  out.options = options_for(json::parse(scene_json), out.scene);
  // A change of the renderer itself changes this stamp, and every clip is made anew.
  const std::string key = scene_json + "\nrenderer " + std::to_string(render::kRendererVersion);
  if (text_of(scene_file) != key || !fs::exists(out.file) || !fs::exists(truth_file)) {
    fs::remove(scene_file);
    render::write_truth(render::render_scene(out.scene, out.file.string()), truth_file.string());
    write_text(scene_file, key);  // last, so that a clip cut short is never taken for whole
  }
  out.truth = render::read_truth(truth_file.string());
  return out;
}

}  // namespace accuracy
