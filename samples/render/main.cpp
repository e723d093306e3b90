// render_clip: makes a clip of a barbell set, and says exactly what was in it.
#include <iostream>
#include <optional>

#include <CLI/CLI.hpp>

#include "samples/render/film.h"

int main(int argc, char** argv) {
  CLI::App app{
      "Renders a clip of a barbell set from a scene file, with exact truth.\n"
      "With --random it prints a made-up scene instead."};
  std::string scene_path, clip_path, truth_path;
  std::size_t every = 1;
  std::optional<std::uint64_t> seed;
  bool hard = false;
  app.add_option("SCENE", scene_path, "scene description, JSON");
  app.add_option("CLIP", clip_path, "clip to write; its ending chooses the container");
  app.add_option("--truth", truth_path, "write what is true of every rep and frame, JSON");
  app.add_option("--truth-every", every, "write only every N-th frame's truth")
      ->check(CLI::PositiveNumber);
  app.add_option("--random", seed, "print the made-up scene of this number");
  app.add_flag("--hard", hard, "with --random: pile up conditions");
  CLI11_PARSE(app, argc, argv);
  try {
    if (seed) {
      std::cout << render::random_scene(*seed, hard) << '\n';
      return 0;
    }
    if (scene_path.empty() || clip_path.empty()) {
      std::cerr << "render_clip: needs a scene file and a clip to write. See --help\n";
      return 2;
    }
    const render::Scene scene = render::read_scene(scene_path);
    const render::ClipTruth truth = render::render_scene(scene, clip_path);
    if (!truth_path.empty()) render::write_truth(truth, truth_path, every);
  } catch (const std::exception& e) {
    std::cerr << "render_clip: " << e.what() << '\n';
    return 1;
  }
  return 0;
}
