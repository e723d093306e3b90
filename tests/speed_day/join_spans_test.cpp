// Parts of a recording that were watched apart. The stretches are made up; what is right follows
// from join_spans.h.
#include "libkinetics/speed_day/join_spans.h"

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;
using namespace kinetics;

namespace {

WatchedStretch set(double from_s, double to_s, CameraStep before = {}) {
  return {.from_s = from_s,
          .to_s = to_s,
          .before = before,
          .camera = {},
          .discs = {{.file = "kept", .up_and_down_m = 3.0, .radius_px = 60.0, .where = {}}}};
}

WatchedStretch nothing_worked(double from_s, double to_s) {
  WatchedStretch out = set(from_s, to_s);
  out.discs.clear();
  return out;
}

KeptSpan span(std::vector<WatchedStretch> stretches, WatchEnd end = {}) {
  KeptSpan out;
  out.height_px = 720;
  out.stretches = std::move(stretches);
  out.end = end;
  return out;
}

KeptSpan not_again(const WatchSpan& /*span*/) {
  FAIL("nothing is in doubt");
  return {};
}

std::vector<double> begins(const SeenRecording& seen) {
  std::vector<double> out;
  for (const WatchedStretch& s : seen.stretches) out.push_back(s.from_s);
  return out;
}

}  // namespace

TEST_CASE("a set that two parts saw is one", "[speed_day]") {
  // The second began in its midst and lost sight of it half a second later.
  const SeenRecording seen = join_spans(
      {span({set(100, 120), set(290, 312)}), span({set(301, 312.5), set(330, 350)})}, not_again);
  CHECK(begins(seen) == std::vector<double>{100, 290, 330});
}

TEST_CASE("a part that went on from within a set into the next one is watched again",
          "[speed_day]") {
  int asked = 0;
  const SeenRecording seen = join_spans(
      {span({set(290, 312)}), span({set(301, 350), set(370, 390)})}, [&](const WatchSpan& again) {
        ++asked;
        CHECK(again.after_s == 312.0);
        CHECK(again.until_s == 350.0);
        CHECK(again.worked.size() == 1);
        return span({set(330, 350.5)});
      });
  CHECK(asked == 1);
  CHECK(begins(seen) == std::vector<double>{290, 330, 370});
}

TEST_CASE("a set that begins while the later part knows nothing yet is not lost", "[speed_day]") {
  // It passed over a set that ended at 312; what lies still is known to it some seconds later.
  const SeenRecording seen = join_spans(
      {span({set(290, 312)}), span({set(340, 360)}, {.camera = {}, .passed_over_to_s = 310.0})},
      [&](const WatchSpan& again) {
        CHECK(again.after_s == 312.0);
        CHECK(again.until_s == 310.0 + kKnownAfterS);
        return span({set(317, 333)});
      });
  CHECK(begins(seen) == std::vector<double>{290, 317, 340});
  // Long before the set's end, it knew.
  (void)join_spans(
      {span({set(290, 325)}), span({set(340, 360)}, {.camera = {}, .passed_over_to_s = 310.0})},
      not_again);
}

TEST_CASE("where nothing was worked two watches may overlap", "[speed_day]") {
  const SeenRecording seen = join_spans(
      {span({set(290, 312)}), span({nothing_worked(305, 318), set(330, 350)})}, not_again);
  CHECK(begins(seen) == std::vector<double>{290, 305, 330});
}

TEST_CASE("a tripod that is moved where parts meet is moved once", "[speed_day]") {
  const CameraStep push{.x_px = 30.0, .y_px = -4.0, .turn_rad = 0.02, .zoom = 1.1};
  const CameraStep nudge{.x_px = 1.0, .y_px = 2.0, .turn_rad = 0.0, .zoom = 1.0};
  const SeenRecording seen = join_spans({span({set(200, 220)}, {.camera = push}),
                                         span({}, {.camera = nudge}),
                                         span({set(700, 720, nudge), set(740, 750)})},
                                        not_again);
  REQUIRE(seen.stretches.size() == 3);
  CHECK_THAT(seen.stretches[1].before.x_px, WithinAbs(32.0, 1e-9));
  CHECK_THAT(seen.stretches[1].before.y_px, WithinAbs(0.0, 1e-9));
  CHECK_THAT(seen.stretches[1].before.turn_rad, WithinAbs(0.02, 1e-9));
  CHECK_THAT(seen.stretches[1].before.zoom, WithinAbs(1.1, 1e-9));
  CHECK(seen.stretches[2].before.x_px == 0.0);
}
