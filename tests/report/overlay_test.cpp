// What is drawn on a picture, checked by its pixels: the rim where the ellipse is, the path where
// the bar was, and colours that people with any colour vision tell apart (M. Okabe, K. Ito, Color
// Universal Design, 2008: orange 230 159 0, sky blue 86 180 233, yellow 240 228 66).
#include "libkinetics/report/overlay.h"

#include <array>
#include <cmath>
#include <filesystem>
#include <numbers>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

constexpr int kWidth = 640;
constexpr int kHeight = 360;
using Bgr = std::array<int, 3>;
constexpr Bgr kOrange{0, 159, 230};
constexpr Bgr kSkyBlue{233, 180, 86};
constexpr Bgr kYellow{66, 228, 240};

// Down for a second and up for a second, one rep; the disc is 40 px in radius at x = 420.
Session one_rep() {
  Session session;
  session.clip.width_px = kWidth;
  session.clip.height_px = kHeight;
  for (int i = 0; i <= 75; ++i) {
    const double t_s = i / 30.0;
    const double phase = std::min(t_s, 2.0);
    DiscSighting sighting;
    sighting.frame = i;
    sighting.t_s = t_s;
    sighting.sighting = Sighting::kSeen;
    // Lowered on one line and raised on another, so that both stay in view.
    sighting.centre = {phase < 1.0 ? 400.0 : 440.0,
                       180.0 - 60.0 * std::cos(std::numbers::pi * phase)};
    sighting.half_width_px = 36.0;
    sighting.half_height_px = 40.0;
    session.disc.sightings.push_back(sighting);
    MotionSample sample;
    sample.t_s = t_s;
    sample.velocity_mps = t_s >= 2.0 ? 0.0 : t_s < 1.0 ? -0.5 : 0.5;
    session.motion.samples.push_back(sample);
  }
  Rep rep;
  rep.start_s = 1.0;
  rep.end_s = 2.0;
  rep.eccentric_s = Measured(1.0, 0.01);
  rep.pause_s = Measured(0.0, 0.01);
  rep.mean_velocity_mps = Measured(0.5, 0.005);
  session.reps.push_back(rep);
  return session;
}

ColourPicture grey(int width = kWidth, int height = kHeight) {
  return {
      width, height, std::vector<std::uint8_t>(static_cast<std::size_t>(3 * width * height), 128)};
}

bool near(const ColourPicture& picture, double x, double y, const Bgr& colour, int tolerance) {
  const auto at =
      static_cast<std::size_t>(3 * (std::lround(y) * picture.width_px + std::lround(x)));
  for (std::size_t k = 0; k < 3; ++k) {
    if (std::abs(int(picture.bgr.at(at + k)) - colour[k]) > tolerance) return false;
  }
  return true;
}

int count(const ColourPicture& picture, const Bgr& colour, int x0, int y0, int x1, int y1) {
  int found = 0;
  for (int y = y0; y < y1; ++y) {
    for (int x = x0; x < x1; ++x) found += near(picture, x, y, colour, 25) ? 1 : 0;
  }
  return found;
}

// Share of the rim's ellipse that carries its colour.
double rim_drawn(const ColourPicture& picture, const DiscSighting& s, double scale = 1.0) {
  int drawn = 0;
  for (int degree = 0; degree < 360; ++degree) {
    const double angle = degree * std::numbers::pi / 180.0;
    const double x = (s.centre.x_px + 0.5 + s.half_width_px * std::cos(angle)) * scale - 0.5;
    const double y = (s.centre.y_px + 0.5 + s.half_height_px * std::sin(angle)) * scale - 0.5;
    drawn += near(picture, x, y, kYellow, 90) ? 1 : 0;
  }
  return drawn / 360.0;
}

}  // namespace

TEST_CASE("the rim is drawn whole when seen and dashed when hidden", "[report][overlay]") {
  Session session = one_rep();
  DiscSighting& now = session.disc.sightings[36];
  ColourPicture seen = grey();
  draw_overlay(session, 1.2, seen);
  // A line one pixel wide falls between two rows here and there.
  CHECK(rim_drawn(seen, now) > 0.9);

  now.sighting = Sighting::kCoasted;
  ColourPicture hidden = grey();
  draw_overlay(session, 1.2, hidden);
  CHECK(rim_drawn(hidden, now) > 0.35);
  CHECK(rim_drawn(hidden, now) < 0.75);

  now.sighting = Sighting::kLost;
  ColourPicture lost = grey();
  draw_overlay(session, 1.2, lost);
  CHECK(rim_drawn(lost, now) == 0.0);
}

TEST_CASE("a tilted ellipse leans the way its extents say", "[report][overlay]") {
  Session session = one_rep();
  DiscSighting& now = session.disc.sightings[36];
  now.tilt = 0.6;  // wide to the right goes with low: y counts down
  ColourPicture picture = grey();
  draw_overlay(session, 1.2, picture);
  // The rightmost point of such an ellipse lies tilt times its half height below the centre.
  CHECK(near(picture, now.centre.x_px + 36.0, now.centre.y_px + 0.6 * 40.0, kYellow, 90));
  CHECK_FALSE(near(picture, now.centre.x_px + 36.0, now.centre.y_px - 0.6 * 40.0, kYellow, 90));
}

TEST_CASE("the rep's path is blue going down and orange going up", "[report][overlay]") {
  const Session session = one_rep();
  ColourPicture picture = grey();
  draw_overlay(session, 1.9, picture);
  CHECK(near(picture, 440.0, 200.0, kOrange, 80));
  CHECK(count(picture, kSkyBlue, 0, 0, kWidth, kHeight) == 0);  // older, so paler
  ColourPicture going_down = grey();
  draw_overlay(session, 0.9, going_down);
  const PixelPoint lately = session.disc.sightings[25].centre;
  CHECK(near(going_down, lately.x_px, lately.y_px, kSkyBlue, 60));
  CHECK(count(going_down, kOrange, 300, 0, kWidth, kHeight) == 0);
}

TEST_CASE("the path moves along with a knocked camera", "[report][overlay]") {
  Session session = one_rep();
  for (std::size_t i = 50; i < session.disc.sightings.size(); ++i) {
    session.disc.sightings[i].camera_shift = {-100.0, 0.0};
    session.disc.sightings[i].centre.x_px -= 100.0;
  }
  ColourPicture picture = grey();
  draw_overlay(session, 1.9, picture);
  CHECK(near(picture, 340.0, 200.0, kOrange, 80));
  CHECK(near(picture, 440.0, 200.0, {128, 128, 128}, 2));
}

TEST_CASE("the number is orange while the bar rises and blue while it is lowered",
          "[report][overlay]") {
  const Session session = one_rep();
  ColourPicture rising = grey();
  draw_overlay(session, 1.5, rising);
  CHECK(count(rising, kOrange, 0, 0, 300, 60) > 100);
  CHECK(count(rising, kSkyBlue, 0, 0, 300, 60) == 0);
  ColourPicture lowering = grey();
  draw_overlay(session, 0.5, lowering);
  CHECK(count(lowering, kSkyBlue, 0, 0, 300, 60) > 100);
  CHECK(count(lowering, kOrange, 0, 0, 300, 60) == 0);
}

TEST_CASE("the mean stands there once the rep is done", "[report][overlay]") {
  const Session session = one_rep();
  const Bgr white{255, 255, 255};
  ColourPicture during = grey();
  draw_overlay(session, 1.9, during);
  ColourPicture after = grey();
  draw_overlay(session, 2.3, after);
  // Rows below the big number, which turns white at rest.
  const int named = count(during, white, 0, 48, 300, 80);
  CHECK(named > 20);
  CHECK(count(after, white, 0, 48, 300, 80) > 2 * named);
}

TEST_CASE("the panel keeps away from the disc", "[report][overlay]") {
  Session session = one_rep();
  for (DiscSighting& s : session.disc.sightings) s.centre.x_px -= 300.0;
  ColourPicture picture = grey();
  draw_overlay(session, 1.5, picture);
  CHECK(count(picture, kOrange, 340, 0, kWidth, 60) > 100);
  CHECK(near(picture, 10.0, 10.0, {128, 128, 128}, 2));
}

TEST_CASE("drawing scales with the picture", "[report][overlay]") {
  const Session session = one_rep();
  ColourPicture twice = grey(2 * kWidth, 2 * kHeight);
  draw_overlay(session, 1.2, twice);
  CHECK(rim_drawn(twice, session.disc.sightings[36], 2.0) > 0.95);
}

TEST_CASE("a session without a single sighting is drawn without harm", "[report][overlay]") {
  Session session;
  session.clip.width_px = kWidth;
  session.clip.height_px = kHeight;
  ColourPicture picture = grey();
  CHECK_NOTHROW(draw_overlay(session, 0.0, picture));
}

TEST_CASE("the annotated clip shows every picture at its stored time", "[report][overlay]") {
  const Folder folder;
  const std::string clip_path = folder / "set.mp4";
  ffmpeg(
      "-f lavfi -i color=gray:size=640x360:rate=30:duration=2 -c:v libx264 -preset ultrafast "
      "-pix_fmt yuv420p " +
      clip_path);
  Session session = one_rep();
  session.options.clip.capture_rate_hz = 120.0;
  session.clip = ClipReader(clip_path, session.options.clip).info();
  double reached = 0.0;
  write_overlay(session, clip_path, folder / "out.mp4", [&](double f) { reached = f; });
  CHECK(reached > 0.9);
  ClipReader out(folder / "out.mp4");
  const std::vector<Frame> frames = read_all(out);
  REQUIRE(frames.size() == 60);
  CHECK(frames.back().t_s == Approx(59.0 / 30.0).margin(1e-4));  // slow motion stays slow

  CHECK_THROWS_WITH(write_overlay(session, clip_path, clip_path),
                    Catch::Contains("would replace the clip itself"));
}

TEST_CASE("a clip that cannot be read leaves no annotated one", "[report][overlay][bad-input]") {
  const Folder folder;
  spill(folder / "text.mp4", "not a clip");
  CHECK_THROWS_AS(write_overlay(one_rep(), folder / "text.mp4", folder / "out.mp4"), Error);
  CHECK_FALSE(std::filesystem::exists(folder / "out.mp4"));
}
