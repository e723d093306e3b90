// render_clip: makes a clip of a barbell set, and says exactly what was in it.
#include <iostream>

#include <CLI/CLI.hpp>

#include "samples/render/film.h"

int main(int argc, char** argv) {
  CLI::App app{"Renders a clip of a barbell set from a scene file, with exact truth."};
  std::string scene_path, clip_path, truth_path;
  app.add_option("SCENE", scene_path, "scene description, JSON")->required();
  app.add_option("CLIP", clip_path, "clip to write; its ending chooses the container")->required();
  app.add_option("--truth", truth_path, "write what is true of every rep and frame, JSON");
  CLI11_PARSE(app, argc, argv);
  try {
    const render::Scene scene = render::read_scene(scene_path);
    const render::ClipTruth truth = render::render_scene(scene, clip_path);
    if (!truth_path.empty()) render::write_truth(truth, truth_path);
  } catch (const std::exception& e) {
    std::cerr << "render_clip: " << e.what() << '\n';
    return 1;
  }
  return 0;
}
