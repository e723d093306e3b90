#pragma once

#include <string>
#include <vector>

#include "samples/render/motion.h"
#include "samples/render/scene.h"

/// Making the clip.

namespace render {

/// What is true of one frame.
struct FrameTruth {
  std::int64_t index = 0;
  double t_s = 0.0;      ///< middle of the exposure of the picture's middle row
  double stamp_s = 0.0;  ///< what the container says of it, slow motion undone
  double x_m = 0.0;
  double height_m = 0.0;
  double velocity_mps = 0.0;
  Pixel disc_centre;           ///< projected centre of the near disc's outer face, as displayed
  Pixel rim_centre;            ///< centre of the ellipse that the outer face's rim makes
  double visible_share = 1.0;  ///< of the disc's outline, not hidden and inside the picture
};

struct ClipTruth {
  double disc_diameter_m = 0.45;
  std::vector<RepTruth> reps{};
  std::vector<FrameTruth> frames{};
};

/// Renders the scene into `path`. Throws std::runtime_error naming what is wrong.
ClipTruth render_scene(const Scene& scene, const std::string& path);

/// Counts up whenever the same scene gives another clip or another truth, for whoever keeps clips.
inline constexpr int kRendererVersion = 4;

/// Throws std::runtime_error naming the file when it is not what write_truth wrote.
[[nodiscard]] ClipTruth read_truth(const std::string& path);

/// Bodies of frames can be thinned out: every n-th is written.
void write_truth(const ClipTruth& truth, const std::string& path, std::size_t every = 1);

}  // namespace render
