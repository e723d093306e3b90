// Truth: discs drawn by the ffmpeg program, one in the colour planes alone and one hardly darker
// than the noisy wall behind it, their paths in closed form.

#include "libkinetics/tracking/track_by_look.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/media/chroma.h"
#include "libkinetics/tracking/colourfulness.h"
#include "libkinetics/tracking/local_contrast.h"
#include "tests/media/made_clip.h"

namespace {

using namespace kinetics;

// In luma pixels: a radius of 60, and up and down by 140 every 2.5 s.
constexpr double kRadiusPx = 60.0;
constexpr double kTravelM = 140.0 * 0.225 / kRadiusPx;

/// A disc whose luma is that of the wall behind it. `blue` is how much bluer it is.
std::string blue_disc(const kinetics_test::Folder& folder, int blue) {
  const std::string path = folder / "disc.mp4";
  kinetics_test::ffmpeg(
      "-f lavfi -i \"color=gray:size=480x360:rate=30:duration=5,format=yuv420p,"
      "geq=lum='70+20*sin(X/9)*sin(Y/7)':cb='128+" +
      std::to_string(blue) +
      "*clip(30.5-hypot(X-120\\,Y-90-35*cos(2*PI*T/2.5))\\,0\\,1)':cr='128'\" "
      "-c:v libx264 -preset ultrafast -crf 18 -pix_fmt yuv420p " +
      path);
  return path;
}

/// A disc that is so many grey levels darker than a wall whose noise has a sigma of 4, with a light
/// ring about its middle.
std::string faint_disc(const kinetics_test::Folder& folder, int darker) {
  const std::string path = folder / "faint.mp4";
  const std::string from_middle = "hypot(X-240\\,Y-180-70*cos(2*PI*T/2.5))";
  kinetics_test::ffmpeg(
      "-f lavfi -i \"color=gray:size=480x360:rate=30:duration=5,format=yuv420p,"
      "geq=lum='40+14*(random(1)-0.5)-" +
      std::to_string(darker) + "*clip(60.5-" + from_middle + "\\,0\\,1)+50*clip(18.5-" +
      from_middle +
      "\\,0\\,1)':cb='128':cr='128'\" -c:v libx264 -preset ultrafast -crf 18 -pix_fmt yuv420p " +
      path);
  return path;
}

double travel_m(const BarPath& path) {
  double low = 1e9;
  double high = -1e9;
  for (const PathPoint& p : path.points) {
    if (!p.seen) continue;
    low = std::min(low, p.y_m);
    high = std::max(high, p.y_m);
  }
  return high - low;
}

/// What a look may make of a disc that goes up and down by 0.5 m, `factor` times as far.
TrackedBar looked_at(double factor, double share_seen) {
  TrackedBar bar;
  for (int f = 0; f < 200; ++f) {
    const double t_s = f / 30.0;
    const bool seen = f % 10 < std::lround(10.0 * share_seen);
    const double height_m = 0.25 * factor * std::sin(2.0 * t_s);
    bar.path.points.push_back(
        {.t_s = t_s, .y_m = height_m, .sigma_x_m = 0.001, .sigma_y_m = 0.001, .seen = seen});
    bar.disc.sightings.push_back({.frame = f,
                                  .t_s = t_s,
                                  .sighting = seen ? Sighting::kSeen : Sighting::kCoasted,
                                  .centre = {},
                                  .half_width_px = kRadiusPx,
                                  .half_height_px = kRadiusPx,
                                  .rim_seen = 0.5,
                                  .camera_shift = {}});
  }
  bar.path.scale_sigma_rel = 0.002;
  return bar;
}

bool found_by_brightness(const std::string& path) {
  try {
    ClipReader clip(path);
    return !poorly_seen(track_bar(clip).disc);
  } catch (const Error& e) {
    CHECK(e.code() == ErrorCode::kNothingToTrack);
    return false;
  }
}

/// Ten pictures, in so many of which it is seen, with so much of its rim.
DiscTrack shown_in(int pictures, double rim) {
  DiscTrack track;
  for (int k = 0; k < 10; ++k) {
    DiscSighting s;
    s.frame = k;
    s.sighting = k < pictures ? Sighting::kSeen : Sighting::kLost;
    s.half_width_px = s.half_height_px = 50.0;
    s.rim_seen = rim;
    track.sightings.push_back(s);
  }
  return track;
}

}  // namespace

TEST_CASE("half a rim is told from a disc that is seldom in view") {
  CHECK_FALSE(hardly_seen(shown_in(10, 0.7)));
  CHECK_FALSE(half_covered(shown_in(10, 0.7)));
  CHECK(hardly_seen(shown_in(10, 0.5)));
  CHECK(half_covered(shown_in(10, 0.5)));
  CHECK(hardly_seen(shown_in(6, 0.7)));
  CHECK_FALSE(half_covered(shown_in(6, 0.7)));
}

TEST_CASE("a disc of the wall's brightness is followed by its colour") {
  const kinetics_test::Folder folder;
  const std::string path = blue_disc(folder, 50);
  CHECK_FALSE(found_by_brightness(path));
  ClipReader clip(path);
  const auto bar = track_by_look(Look::kColour, clip, {}, nullptr);
  REQUIRE(bar);
  CHECK_FALSE(poorly_seen(bar->disc));
  CHECK(kinetics_test::any_note_says(bar->notes, "colour"));
  // Half-size planes, coded: an edge is some tenths of a pixel off.
  CHECK(travel_m(bar->path) == Approx(kTravelM).epsilon(0.015));
}

TEST_CASE("a clip without colour is not followed by it") {
  const kinetics_test::Folder folder;
  ClipReader clip(blue_disc(folder, 0));
  CHECK_FALSE(track_by_look(Look::kColour, clip, {}, nullptr));
}

TEST_CASE("colourfulness is twice what the colour planes stray from grey") {
  const kinetics_test::Folder folder;
  ClipReader clip(blue_disc(folder, 50));
  const auto frame = clip.next();
  REQUIRE(frame);
  const auto coloured = colourfulness_of(*frame, clip.info());
  REQUIRE(coloured);
  CHECK(coloured->luma.width == frame->luma.width);
  CHECK(coloured->luma.height == frame->luma.height);
  CHECK(coloured->luma.at(240, 250) == Approx(100.0).margin(6.0));  // the disc's middle
  CHECK(coloured->luma.at(240, 60) == Approx(0.0).margin(6.0));
}

TEST_CASE("a part of the colourfulness is as in the whole") {
  const kinetics_test::Folder folder;
  ClipReader clip(blue_disc(folder, 50));
  const auto frame = clip.next();
  REQUIRE(frame);
  const auto whole = colourfulness_of(*frame, clip.info());
  REQUIRE(whole);
  for (const cv::Rect& area :
       {cv::Rect(151, 130, 178, 99), cv::Rect(0, 0, 77, 45), cv::Rect(401, 301, 79, 59)}) {
    const auto part = colourfulness_of(*frame, clip.info(), area);
    REQUIRE(part);
    int different = 0;
    for (int y = area.y; y < area.br().y; ++y) {
      for (int x = area.x; x < area.br().x; ++x) {
        different += part->luma.at(x, y) != whole->luma.at(x, y) ? 1 : 0;
      }
    }
    CHECK(different == 0);
  }
}

TEST_CASE("colour planes are turned with the picture") {
  const kinetics_test::Folder folder;
  const std::string path = blue_disc(folder, 50);
  ClipReader clip(path);
  const auto frame = clip.next();
  REQUIRE(frame);
  ClipInfo turned = clip.info();
  turned.rotation_deg = 90;
  const auto upright = chroma_of(*frame, clip.info());
  const auto lying = chroma_of(*frame, turned);
  REQUIRE(upright);
  REQUIRE(lying);
  CHECK(lying->blue.width == upright->blue.height);
  // Turned clockwise, what was at the top is at the right.
  CHECK(lying->blue.at(lying->blue.width - 1 - 125, 120) == upright->blue.at(120, 125));
  CHECK(lying->blue.at(lying->blue.width - 1 - 20, 200) == upright->blue.at(200, 20));
}

TEST_CASE("a clip in grey has no colour planes") {
  const kinetics_test::Folder folder;
  const std::string path = folder / "grey.mkv";
  kinetics_test::ffmpeg(
      "-f lavfi -i testsrc=size=64x48:rate=10:duration=0.3 -pix_fmt gray -c:v ffv1 " + path);
  ClipReader clip(path);
  const auto frame = clip.next();
  REQUIRE(frame);
  CHECK_FALSE(chroma_of(*frame, clip.info()));
}

TEST_CASE("a disc hardly darker than a noisy wall is followed by its faint edges") {
  const kinetics_test::Folder folder;
  const std::string path = faint_disc(folder, 6);
  ClipReader by_brightness(path);
  const TrackedBar hub = track_bar(by_brightness);
  CHECK(seems_a_hub(hub.disc));
  ClipReader clip(path);
  const auto bar = track_by_look(Look::kContrast, clip, {}, &hub.disc);
  REQUIRE(bar);
  CHECK_FALSE(seems_a_hub(bar->disc));
  CHECK(kinetics_test::any_note_says(bar->notes, "faint edges"));
  CHECK(travel_m(bar->path) == Approx(kTravelM).epsilon(0.03));
}

TEST_CASE("noise alone makes no disc of faint edges") {
  const kinetics_test::Folder folder;
  ClipReader clip(faint_disc(folder, 0));
  const auto bar = track_by_look(Look::kContrast, clip, {}, nullptr);
  // Of the ring alone its size tells nothing of the disc's; it is the only round thing there is.
  if (bar) CHECK(bar->disc.sightings.front().half_width_px < 25.0);
}

TEST_CASE("local contrast keeps the sense of an edge and leaves noise some grey levels") {
  const kinetics_test::Folder folder;
  ClipReader clip(faint_disc(folder, 20));
  const auto frame = clip.next();
  REQUIRE(frame);
  const Frame contrast = local_contrast_of(*frame);
  const LumaView& plain = contrast.luma;
  REQUIRE(plain.width == frame->luma.width);
  // Just inside and outside the rim, to the left of the middle at (240, 250).
  CHECK(plain.at(185, 250) < 118);
  CHECK(plain.at(175, 250) > 138);
  double square = 0.0;
  for (int x = 40; x < 440; ++x) square += std::pow(plain.at(x, 60) - 128.0, 2);
  CHECK(std::sqrt(square / 400.0) < 8.0);
}

TEST_CASE("two looks at a disc that differ in how far it went are less sure by as much",
          "[tracking]") {
  const auto cautioned = [](const TrackedBar& bar) { return !bar.notes.empty(); };
  const TrackedBar alike = surer_of(looked_at(1.0, 0.9), looked_at(1.01, 0.9));
  CHECK(travel_m(alike.path) == Approx(0.505).epsilon(0.01));
  CHECK(alike.path.scale_sigma_rel == Approx(0.002));
  CHECK_FALSE(cautioned(alike));

  // 10 % farther: log(1.1) = 0.0953. The brighter look is kept, as long as it saw the disc.
  const TrackedBar seen = surer_of(looked_at(1.0, 0.9), looked_at(1.1, 1.0));
  CHECK(travel_m(seen.path) == Approx(0.5).epsilon(0.01));
  CHECK(seen.path.scale_sigma_rel == Approx(0.0953).epsilon(0.01));
  CHECK(cautioned(seen));
  const TrackedBar seldom = surer_of(looked_at(1.0, 0.7), looked_at(1.1, 1.0));
  CHECK(travel_m(seldom.path) == Approx(0.55).epsilon(0.01));
  CHECK(seldom.path.scale_sigma_rel == Approx(0.0953).epsilon(0.01));
}
