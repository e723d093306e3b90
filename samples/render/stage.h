#pragma once

#include <vector>

#include "samples/render/motion.h"
#include "samples/render/scene.h"

/// What stands and moves in the gym, in painting order (farthest first).

namespace render {

/// What never moves and is behind everything that does.
[[nodiscard]] Patches still_behind(const Scene& scene);
/// What never moves and is in front of the bar.
[[nodiscard]] Patches still_in_front(const Scene& scene);

/// One thing that moves on its own.
struct Actor {
  Patches patches;
  bool hides_disc = false;  ///< stands between the camera and the near disc
};

/// Every motion in the scene.
struct Motions {
  BarMotion bar;
  std::vector<BarMotion> second;
  bool comes_and_goes = false;  ///< the lifter walks in before the set and out after it
};
[[nodiscard]] Motions script_scene(const Scene& scene);

/// One turn of a day as a scene of its own, which is to be shown from a moment on.
struct Turn {
  double from_s = 0.0;
  Scene scene;
  Motions motions;
};
/// The scene's turns; a scene without any is one turn itself. Changes fall into the middle of the
/// rests, when nobody is at the bar.
[[nodiscard]] std::vector<Turn> script_turns(const Scene& scene);

/// What moves, at one instant. The number and sizes of the patches do not depend on the time.
[[nodiscard]] std::vector<Actor> actors(const Scene& scene, const Motions& motions, double t_s);
/// The bar's point that the truth speaks of: the middle of the near disc's outer face.
[[nodiscard]] GymPoint disc_centre(const BarMotion& bar, double t_s);

}  // namespace render
