// The shift of a made picture is known exactly: it is drawn anew, moved by fractions of a pixel.
#include "libkinetics/tracking/still_edges.h"

#include <cmath>

#include <catch2/catch.hpp>

using Eigen::Vector2d;
using kinetics::CameraPose;
using kinetics::StillEdges;

namespace {

/// From dark to light at 0, over about two pixels.
double edge(double distance_px) {
  return 0.5 + 0.5 * std::tanh(distance_px);
}

struct Scene {
  bool floor = true;
  double person_x = 200.0;
  double light = 0.0;
};

/// A wall of boards above the line of a floor, and somebody before it; no corner but his.
cv::Mat1b drawn(const Scene& scene, const Vector2d& shift) {
  cv::Mat1b picture(270, 480);
  for (int row = 0; row < picture.rows; ++row) {
    for (int column = 0; column < picture.cols; ++column) {
      const double x = column - shift.x();
      const double y = row - shift.y();
      double grey = 130.0 + scene.light;
      for (double board = 45.0; board < 480.0; board += 60.0) {
        grey -= 14.0 * (edge(x - board) - edge(x - board - 3.0));
      }
      if (scene.floor) grey -= 40.0 * edge(y - 200.0 - 0.02 * x);
      const double person = 34.0 - std::hypot(column - scene.person_x, 0.4 * (row - 150.0));
      grey += 60.0 * edge(person);
      picture(row, column) = static_cast<unsigned char>(std::lround(grey));
    }
  }
  return picture;
}

}  // namespace

TEST_CASE("a wall of lines tells how far the camera moved, whoever walks before it",
          "[camera_motion]") {
  const StillEdges edges(drawn({}, {0.0, 0.0}));
  CameraPose at;
  for (int k = 1; k <= 12; ++k) {
    const Vector2d truth(0.6 * k, -0.35 * k);
    const auto found = edges.find(
        drawn({.floor = true, .person_x = 200.0 + 5.0 * k, .light = -0.5 * k}, truth), at, {});
    REQUIRE(found);
    at = *found;
    const Vector2d moved = at.now({240.0, 135.0}) - Vector2d(240.0, 135.0);
    CAPTURE(k, moved.x(), moved.y());
    CHECK((moved - truth).norm() < 0.1);
  }
}

TEST_CASE("lines that all run one way do not tell how far the camera moved along them",
          "[camera_motion]") {
  const Scene boards{.floor = false, .person_x = -500.0};
  const StillEdges edges(drawn(boards, {0.0, 0.0}));
  CHECK_FALSE(edges.find(drawn(boards, {0.5, 0.5}), {}, {}));
}

TEST_CASE("a wall without lines tells nothing", "[camera_motion]") {
  const cv::Mat1b plain(270, 480, static_cast<unsigned char>(90));
  CHECK_FALSE(StillEdges(plain).find(plain, {}, {}));
}
