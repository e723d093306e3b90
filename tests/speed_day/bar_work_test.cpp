// Which of the discs that were worked is the bar's. The pictures are made up; what is right follows
// from bar_work.h.
#include "libkinetics/speed_day/bar_work.h"

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;
using namespace kinetics;

namespace {

SeenDisc disc(double x_px, double radius_px, double worked_m) {
  return {
      .file = "kept", .up_and_down_m = worked_m, .radius_px = radius_px, .where = {x_px, 300.0}};
}

WatchedStretch stretch(double from_s, std::vector<SeenDisc> discs, CameraStep camera = {}) {
  return {.from_s = from_s, .to_s = from_s + 30.0, .camera = camera, .discs = std::move(discs)};
}

DayWork chosen(std::vector<WatchedStretch> stretches) {
  Recording recording;
  recording.name = "day.mp4";
  SeenRecording seen;
  seen.height_px = 720;
  seen.stretches = std::move(stretches);
  return choose_work({recording}, {seen});
}

}  // namespace

TEST_CASE("a rack behind is told by its smaller disc elsewhere", "[speed_day]") {
  const DayWork day = chosen({stretch(0, {disc(700, 60, 3.0)}),
                              stretch(40, {disc(250, 33, 9.0)}),
                              stretch(80, {disc(690, 60, 3.0), disc(250, 33, 4.0)})});
  REQUIRE(day.work.size() == 2);
  CHECK(day.work[0].radius_px == 60);
  CHECK(day.work[1].radius_px == 60);
  REQUIRE(day.notes.size() == 1);
}

TEST_CASE("smaller discs at the bar's place are another size of disc", "[speed_day]") {
  const DayWork day = chosen({stretch(0, {disc(700, 60, 3.0)}),
                              stretch(40, {disc(710, 46.5, 3.0)}),
                              stretch(80, {disc(700, 61, 3.0)})});
  REQUIRE(day.work.size() == 3);
  CHECK(day.work[0].disc_share == 1.0);
  CHECK(day.work[2].disc_share == 1.0);
  CHECK_THAT(day.work[1].disc_share, WithinAbs(46.5 / 60.0, 1e-3));
}

TEST_CASE("a lip that was followed for once is measured by the whole disc", "[speed_day]") {
  const DayWork day = chosen({stretch(0, {disc(700, 60, 3.0)}),
                              stretch(40, {disc(700, 57.6, 4.0)}),
                              stretch(80, {disc(700, 60.6, 3.0)})});
  REQUIRE(day.work.size() == 3);
  CHECK(day.work[0].disc_share == 1.0);
  CHECK_THAT(day.work[1].disc_share, WithinAbs(57.6 / 60.0, 1e-3));
  CHECK(day.work[2].disc_share == 1.0);
}

TEST_CASE("something large that was hardly worked is no measure for the others", "[speed_day]") {
  const DayWork day = chosen({stretch(0, {disc(700, 60, 5.0)}),
                              stretch(40, {disc(720, 90, 0.3)}),
                              stretch(80, {disc(700, 60, 5.0)})});
  CHECK(day.work.front().disc_share == 1.0);
  CHECK(day.work.back().disc_share == 1.0);
}

TEST_CASE("a tripod that was moved far shows another view, a nudge does not", "[speed_day]") {
  const DayWork day = chosen({stretch(0, {disc(700, 60, 3.0)}, {.x_px = 3.0, .y_px = 4.0}),
                              stretch(40, {disc(703, 60, 3.0)}, {.x_px = 30.0, .y_px = -20.0}),
                              stretch(80, {disc(733, 60, 3.0)})});
  REQUIRE(day.work.size() == 3);
  CHECK(day.work[0].view == 1);
  CHECK(day.work[1].view == 1);
  CHECK_THAT(day.work[1].drift_y_px, WithinAbs(4.0, 1e-12));
  CHECK(day.work[2].view == 2);
  CHECK(day.work[2].drift_y_px == 0.0);
}

TEST_CASE("a day without work has none", "[speed_day]") {
  CHECK(chosen({stretch(0, {}), stretch(40, {})}).work.empty());
}
