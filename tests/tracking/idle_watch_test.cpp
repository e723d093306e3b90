// A drawn disc before a drawn wall, one picture a second: the watch must sound when the disc is
// taken up, and need not when somebody passes.
#include "libkinetics/tracking/idle_watch.h"

#include <cmath>
#include <memory>
#include <optional>

#include <catch2/catch.hpp>

#include "tests/tracking/drawn_disc.h"

using kinetics::Frame;
using kinetics::IdleWatch;
using kinetics::testing::draw;
using kinetics::testing::DrawnDisc;
using kinetics::testing::Picture;

namespace {

constexpr int kWidth = 640;
constexpr int kHeight = 360;

/// A disc of 50 px at a height, and a person of no shape who covers some columns.
Frame frame(double t_s, double disc_y_px, std::optional<int> person_x_px = std::nullopt) {
  auto picture = std::make_shared<Picture>(draw({.x_px = 300.4,
                                                 .y_px = disc_y_px,
                                                 .half_width_px = 50.0,
                                                 .half_height_px = 50.0,
                                                 .noise = 2.0,
                                                 .seed = static_cast<unsigned>(t_s + 1.0)},
                                                kWidth,
                                                kHeight));
  for (int y = 0; person_x_px && y < kHeight; ++y) {
    for (int x = *person_x_px; x < *person_x_px + 120; ++x) {
      picture->pixels[static_cast<std::size_t>(y * kWidth + x)] = 200;
    }
  }
  Frame out;
  out.t_s = t_s;
  out.luma = picture->view();
  out.pixels = picture;
  return out;
}

}  // namespace

TEST_CASE("a disc that lies still sounds no alarm, nor does one who walks past", "[tracking]") {
  IdleWatch watch(0.0);
  for (int t = 0; t < 40; ++t) {
    const bool passes = t % 8 == 5;
    CAPTURE(t);
    CHECK_FALSE(watch.take(frame(t, 150.2, passes ? std::optional(240) : std::nullopt)));
  }
  CHECK(watch.resting(watch.pose_at(39.0)).size() == 1);
}

TEST_CASE("a disc that is taken up sounds the alarm from when it still lay", "[tracking]") {
  IdleWatch watch(0.0);
  for (int t = 0; t < 10; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2)));
  const double up_px = GENERATE(-70.0, -12.0, 40.0);
  bool alarm = false;
  int t = 10;
  for (; t < 13 && !alarm; ++t) alarm = watch.take(frame(t, 150.2 + up_px));
  CHECK(alarm);
  CHECK(watch.alarm_from_s() == 9.0);
}

TEST_CASE("a disc that comes and moves on sounds the alarm at once", "[tracking]") {
  IdleWatch watch(0.0);
  REQUIRE_FALSE(watch.take(frame(0.0, -200.0)));
  REQUIRE_FALSE(watch.take(frame(2.0, 150.2)));
  CHECK(watch.take(frame(3.0, 190.0)));
  CHECK(watch.alarm_from_s() == 1.0);
}

TEST_CASE("what is much smaller than the discs that are worked is passed over", "[tracking]") {
  IdleWatch watch(60.0);
  for (int t = 0; t < 12; ++t) CHECK_FALSE(watch.take(frame(t, t % 3 == 0 ? 150.2 : 190.0)));
}
