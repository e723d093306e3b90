#include "tests/simulate/made_log.h"

#include <filesystem>
#include <fstream>
#include <random>

namespace made {

render::Scene lifting(const std::string& lift, int reps, double pause_s) {
  render::Scene scene;
  scene.seed = 7;
  scene.motion.sets = {{.lift = lift, .reps = reps, .pause_s = pause_s}};
  return scene;
}

render::Scene resting(double length_s) {
  render::Scene scene;
  scene.motion.sets = {{.reps = 0, .walk_out = false, .before_s = length_s, .after_s = 0.0}};
  return scene;
}

simulate::SensorSpec perfect(double rate_hz) {
  simulate::SensorSpec spec;
  spec.rate_hz = rate_hz;
  spec.errors = simulate::no_errors();
  spec.shake = {.contacts = 0.0, .rattle_mps2 = 0.0, .plate_change_g = 0.0};
  return spec;
}

std::vector<std::string> lines_of(const render::Scene& scene, const simulate::SensorSpec& spec) {
  namespace fs = std::filesystem;
  const fs::path path = fs::temp_directory_path() /
                        ("simulate_test_" + std::to_string(std::random_device{}()) + ".csv");
  simulate::write_log(simulate::simulate_log(scene, spec), spec, path.string());
  std::vector<std::string> out;
  std::string line;
  for (std::ifstream file(path, std::ios::binary); std::getline(file, line);) out.push_back(line);
  fs::remove(path);
  return out;
}

}  // namespace made
