// A drawn disc before a drawn wall, one picture a second: the watch must sound when the disc is
// taken up, and need not when somebody passes.
#include "libkinetics/tracking/idle_watch.h"

#include <cmath>
#include <memory>
#include <optional>

#include <catch2/catch.hpp>

#include "tests/tracking/drawn_disc.h"

using kinetics::DiscFinder;
using kinetics::Frame;
using kinetics::IdleWatch;
using kinetics_test::draw;
using kinetics_test::DrawnDisc;
using kinetics_test::Picture;

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
      picture->pixels[static_cast<std::size_t>(y) * kWidth + static_cast<std::size_t>(x)] = 200;
    }
  }
  Frame out;
  out.t_s = t_s;
  out.luma = picture->view();
  out.pixels = picture;
  return out;
}

IdleWatch watching(double least_radius_px) {
  return {std::make_shared<DiscFinder>(DiscFinder::Memory::kOfJudged), least_radius_px};
}

}  // namespace

TEST_CASE("a disc that lies still sounds no alarm, nor does one who walks past", "[tracking]") {
  IdleWatch watch = watching(0.0);
  for (int t = 0; t < 40; ++t) {
    const bool passes = t % 8 == 5;
    CAPTURE(t);
    CHECK_FALSE(watch.take(frame(t, 150.2, passes ? std::optional(240) : std::nullopt)));
  }
  CHECK(watch.resting(watch.pose_at(39.0)).size() == 1);
}

TEST_CASE("a disc that is taken up sounds the alarm from when it still lay", "[tracking]") {
  IdleWatch watch = watching(0.0);
  for (int t = 0; t < 10; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2)));
  // Where it is held, and how much more it moves from second to second than one that lies.
  const double up_px = GENERATE(-70.0, -12.0, 40.0);
  const double sway_px = GENERATE(1.5, 60.0);
  bool alarm = false;
  int t = 10;
  for (; t < 17 && !alarm; ++t) alarm = watch.take(frame(t, 150.2 + up_px + sway_px * (t % 2)));
  CHECK(alarm);
  CHECK(watch.alarm_from_s() == 9.0);
}

TEST_CASE("a disc that is gone for good sounds the alarm too", "[tracking]") {
  IdleWatch watch = watching(0.0);
  for (int t = 0; t < 10; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2)));
  bool alarm = false;
  for (int t = 10; t < 17 && !alarm; ++t) alarm = watch.take(frame(t, -200.0));
  CHECK(alarm);
  CHECK(watch.alarm_from_s() == 9.0);
}

TEST_CASE("a disc that was away for longer than one who passes hides it sounds the alarm",
          "[tracking]") {
  IdleWatch watch = watching(0.0);
  for (int t = 0; t < 10; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2)));
  // Behind somebody's back it may have been lifted and put down again.
  for (int t = 10; t < 12; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2, 240)));
  CHECK(watch.take(frame(12.0, 150.2)));
  CHECK(watch.alarm_from_s() == 9.0);
}

TEST_CASE("reps from the floor, back at its place after each, sound the alarm", "[tracking]") {
  IdleWatch watch = watching(0.0);
  double t_s = 0.0;
  for (; t_s < 9.9; t_s += 0.4) REQUIRE_FALSE(watch.take(frame(t_s, 200.2)));
  const double last_s = t_s - 0.4;
  bool alarm = false;
  for (double rep_s = 0.0; rep_s < 7.0 && !alarm; rep_s += 0.4) {
    const double up_px = 60.0 * (1.0 - std::cos(2.0 * 3.14159 * rep_s / 2.4));
    alarm = watch.take(frame(t_s + rep_s, 200.2 - up_px));
  }
  CHECK(alarm);
  CHECK(watch.alarm_from_s() <= last_s + 0.41);
}

TEST_CASE("discs that are changed for others sound no alarm, until those are taken up",
          "[tracking]") {
  IdleWatch watch = watching(0.0);
  for (int t = 0; t < 10; ++t) REQUIRE_FALSE(watch.take(frame(t, 150.2)));
  // Nothing on the bar for a moment, then a disc a little higher in the rack.
  const int bare = GENERATE(0, 2);
  for (int t = 10; t < 10 + bare; ++t) REQUIRE_FALSE(watch.take(frame(t, -200.0)));
  for (int t = 10 + bare; t < 30; ++t) {
    CAPTURE(t);
    CHECK_FALSE(watch.take(frame(t, 120.3)));
  }
  const auto lying = watch.resting(watch.pose_at(29.0));
  REQUIRE(lying.size() == 1);
  CHECK(lying.front().since_s >= 10 + bare);
  bool alarm = false;
  for (int t = 30; t < 37 && !alarm; ++t) alarm = watch.take(frame(t, 120.3 + 40.0 * (t % 3)));
  CHECK(alarm);
  CHECK(watch.alarm_from_s() >= 29.0);
  CHECK(watch.alarm_from_s() <= 30.0);
}

TEST_CASE("a disc that comes and moves on sounds the alarm", "[tracking]") {
  IdleWatch watch = watching(0.0);
  REQUIRE_FALSE(watch.take(frame(0.0, -200.0)));
  REQUIRE_FALSE(watch.take(frame(3.0, 150.2)));
  bool alarm = false;
  for (int t = 4; t < 7 && !alarm; ++t) alarm = watch.take(frame(t, 190.0 - 25.0 * (t % 2)));
  CHECK(alarm);
  CHECK(watch.alarm_from_s() == 2.0);
}

TEST_CASE("what is much smaller than the discs that are worked is passed over", "[tracking]") {
  IdleWatch watch = watching(60.0);
  for (int t = 0; t < 12; ++t) CHECK_FALSE(watch.take(frame(t, t % 3 == 0 ? 150.2 : 190.0)));
}
