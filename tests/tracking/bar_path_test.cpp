// A path whose time runs backwards or holds no numbers is refused, with the points named.
#include "libkinetics/tracking/bar_path.h"

#include <limits>

#include <catch2/catch.hpp>

using kinetics::BarPath;

TEST_CASE("a path whose time runs backwards names both times", "[tracking][bad-input]") {
  BarPath path;
  for (const double t_s : {0.00, 0.02, 0.01}) {
    kinetics::PathPoint p;
    p.t_s = t_s;
    path.points.push_back(p);
  }
  CHECK_THROWS_WITH(kinetics::check(path), Catch::Contains("0.02") && Catch::Contains("0.01"));
}

TEST_CASE("a path with a place that is no number is refused", "[tracking][bad-input]") {
  BarPath path;
  path.points.resize(1);
  path.points[0].y_m = std::numeric_limits<double>::quiet_NaN();
  CHECK_THROWS_WITH(kinetics::check(path), Catch::Contains("point 0"));
}
