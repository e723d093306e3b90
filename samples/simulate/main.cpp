// simulate_log: makes the log of a sensor on the bar, and says exactly what was in it.
#include <iostream>
#include <optional>

#include <CLI/CLI.hpp>

#include "samples/simulate/sensor.h"

int main(int argc, char** argv) {
  CLI::App app{
      "Makes the log of a sensor on the bar from a scene file, with exact truth. The scene's\n"
      "\"sensor\" block says what the sensor is and what is wrong with it; render_clip makes the\n"
      "clip of the same lifts. With --random it prints a made-up scene instead."};
  std::string scene_path, log_path, truth_path;
  std::optional<std::uint64_t> seed;
  bool hard = false;
  app.add_option("SCENE", scene_path, "scene description, JSON");
  app.add_option(
      "LOG", log_path, "log to write, CSV; a gyroscope's own file is LOG's name + .gyro");
  app.add_option("--truth", truth_path, "write what is true of every rep, JSON");
  app.add_option("--random", seed, "print the made-up scene of this number");
  app.add_flag("--hard", hard, "with --random: pile up conditions");
  CLI11_PARSE(app, argc, argv);
  try {
    if (seed) {
      std::cout << simulate::random_log_scene(*seed, hard) << '\n';
      return 0;
    }
    if (scene_path.empty() || log_path.empty()) {
      std::cerr << "simulate_log: needs a scene file and a log to write. See --help\n";
      return 2;
    }
    const render::Scene scene = render::read_scene(scene_path);
    const simulate::SensorSpec spec = simulate::read_sensor(scene_path);
    const simulate::SimulatedLog log = simulate::simulate_log(scene, spec);
    simulate::write_log(log, spec, log_path);
    if (!truth_path.empty()) simulate::write_truth(log.truth, truth_path);
  } catch (const std::exception& e) {
    std::cerr << "simulate_log: " << e.what() << '\n';
    return 1;
  }
  return 0;
}
