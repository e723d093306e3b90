#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "libkinetics/session/session.h"
#include "samples/render/film.h"

/// The clips that are measured: rendered once, kept while their scene stays the same.

namespace accuracy {

struct MadeClip {
  std::string name;
  std::filesystem::path file;
  render::Scene scene;
  render::ClipTruth truth;
  kinetics::AnalysisOptions options;  ///< what the coach would have told the tool
};

/// Diameters that a coach may have told of this scene's disc: evenly over what the rules allow.
[[nodiscard]] std::vector<double> told_diameters_m(const render::Scene& made);

/// Renders `scene_json` into the cache folder unless it is there already. Throws
/// std::runtime_error when the scene is wrong or the folder cannot be written.
[[nodiscard]] MadeClip make_clip(const std::string& name,
                                 const std::string& scene_json,
                                 const std::filesystem::path& cache);

}  // namespace accuracy
