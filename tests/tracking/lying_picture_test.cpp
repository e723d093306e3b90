// Truth: paths in closed form.

#include "libkinetics/tracking/lying_picture.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include <catch2/catch.hpp>

namespace {

using kinetics::BarPath;
using kinetics::PathPoint;

struct Set {
  double travel_m = 0.5;
  int reps = 3;
  double walk_m = 0.3;  ///< out before the first rep and back after the last
};

/// A set as a camera sees it that stands upright, at 30 pictures a second.
BarPath path_of(const Set& set) {
  BarPath path;
  const double rep_s = 3.0;
  const double ends_s = 2.0 + rep_s * set.reps;
  for (int frame = 0; frame < static_cast<int>(30.0 * (ends_s + 2.0)); ++frame) {
    PathPoint p;
    p.t_s = frame / 30.0;
    p.seen = true;
    const double lifting_s = std::clamp(p.t_s - 2.0, 0.0, rep_s * set.reps);
    p.y_m = -0.5 * set.travel_m * (1.0 - std::cos(2.0 * std::numbers::pi * lifting_s / rep_s));
    const double out = std::clamp(0.5 * p.t_s, 0.0, 1.0);
    const double back = std::clamp(0.5 * (p.t_s - ends_s), 0.0, 1.0);
    p.x_m = set.walk_m * (out - back);
    path.points.push_back(p);
  }
  return path;
}

BarPath turned(BarPath path) {
  for (PathPoint& p : path.points) std::swap(p.x_m, p.y_m);
  return path;
}

}  // namespace

TEST_CASE("a set whose picture is turned seems to lie, upright it does not") {
  for (const Set& set :
       {Set{}, Set{.travel_m = 0.25, .walk_m = 0.1}, Set{.reps = 2, .walk_m = 1.5}}) {
    CHECK_FALSE(seems_to_lie(path_of(set)));
    CHECK(seems_to_lie(turned(path_of(set))));
  }
}

TEST_CASE("one rep, or a bar that only lies there, says nothing") {
  CHECK_FALSE(seems_to_lie(turned(path_of({.reps = 1}))));
  CHECK_FALSE(seems_to_lie(turned(path_of({.travel_m = 0.0, .walk_m = 0.0}))));
}

TEST_CASE("what was not seen is not counted") {
  BarPath path = turned(path_of({}));
  for (PathPoint& p : path.points) p.seen = false;
  CHECK_FALSE(seems_to_lie(path));
}
