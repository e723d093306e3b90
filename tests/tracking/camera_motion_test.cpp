// A textured wall shifted by a known amount: the camera's motion is that amount.
#include "libkinetics/tracking/camera_motion.h"

#include <cmath>

#include <catch2/catch.hpp>

namespace {

/// A smooth pattern known everywhere, so that it can be shifted by parts of a pixel.
kinetics::Frame wall(double dx, double dy, double only_within_px = 1e9) {
  const int width = 640;
  const int height = 360;
  auto pixels = std::make_shared<std::vector<std::uint8_t>>();
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const double u = x - dx;
      const double v = y - dy;
      const double grey = 128.0 + 35.0 * std::sin(0.23 * u + 0.05 * v) * std::cos(0.19 * v) +
                          30.0 * std::sin(0.11 * v + 0.31 * u * 0.4) +
                          20.0 * std::cos(0.017 * u * 1.3 + 0.41 * v);
      const bool painted = std::hypot(u - 320.0, v - 180.0) < only_within_px;
      pixels->push_back(static_cast<std::uint8_t>(painted ? std::lround(grey) : 128));
    }
  }
  kinetics::Frame frame;
  frame.luma = {pixels->data(), width, height, 1, width};
  frame.pixels = pixels;
  return frame;
}

}  // namespace

TEST_CASE("a knock on the tripod is followed to a tenth of a pixel", "[tracking]") {
  kinetics::CameraMotion camera;
  camera.follow(wall(0.0, 0.0));
  for (const auto& [dx, dy] :
       {std::pair{0.0, 0.0}, {1.3, -0.6}, {4.2, 2.5}, {3.0, 3.7}, {0.4, 0.2}}) {
    const kinetics::CameraPose pose = camera.follow(wall(dx, dy));
    const Eigen::Vector2d moved = pose.now({320.0, 180.0}) - Eigen::Vector2d(320.0, 180.0);
    CAPTURE(dx, dy);
    CHECK(moved.x() == Approx(dx).margin(0.1));
    CHECK(moved.y() == Approx(dy).margin(0.1));
  }
  CHECK(camera.patches_agreeing() >= 3);
}

TEST_CASE("before a bare wall the disc's own motion is not taken for the camera's", "[tracking]") {
  kinetics::CameraMotion camera;
  camera.follow(wall(0.0, 0.0, 60.0));
  for (int frame = 1; frame <= 20; ++frame) {
    const kinetics::CameraPose pose = camera.follow(wall(0.0, -2.0 * frame, 60.0));
    CHECK((pose.now({320.0, 180.0}) - Eigen::Vector2d(320.0, 180.0)).norm() < 0.1);
  }
}
