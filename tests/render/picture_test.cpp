// The stated place of the disc against the pixels, measured here by another way: edges along rays,
// then a circle through them. Perspective against the closed forms for a disc seen off square.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "tests/render/made_clip.h"

using Catch::Matchers::WithinAbs;

namespace {

struct Picture {
  const std::vector<std::uint8_t>& luma;
  int width;
  double at(double x, double y) const {
    const int c = static_cast<int>(std::floor(x)), r = static_cast<int>(std::floor(y));
    const double fx = x - c, fy = y - r;
    const auto p = [&](int row, int col) {
      return double(luma[static_cast<std::size_t>(row * width + col)]);
    };
    return (1 - fy) * ((1 - fx) * p(r, c) + fx * p(r, c + 1)) +
           fy * ((1 - fx) * p(r + 1, c) + fx * p(r + 1, c + 1));
  }
};

// Centre of the dark disc: the half-way brightness along opposite rays from a first guess. Each
// pair's middle, projected on its own direction, is the centre's; least squares over all pairs.
render::Pixel measured_centre(
    const Picture& picture, render::Pixel guess, double radius, double dark, double bright) {
  constexpr int kPairs = 90;
  const double half = 0.5 * (dark + bright);
  const auto edge = [&](double ux, double uy) {
    for (double r = radius - 6.0; r < radius + 6.0; r += 0.25) {
      const double a = picture.at(guess.x + r * ux, guess.y + r * uy);
      const double b = picture.at(guess.x + (r + 0.25) * ux, guess.y + (r + 0.25) * uy);
      if (a <= half && b > half) return r + 0.25 * (half - a) / (b - a);
    }
    throw std::runtime_error("no edge");
  };
  double xx = 0, xy = 0, yy = 0, xr = 0, yr = 0;
  for (int k = 0; k < kPairs; ++k) {
    const double a = std::numbers::pi * k / kPairs, ux = std::cos(a), uy = std::sin(a);
    const double shift = 0.5 * (edge(ux, uy) - edge(-ux, -uy));
    xx += ux * ux, xy += ux * uy, yy += uy * uy, xr += ux * shift, yr += uy * shift;
  }
  const double det = xx * yy - xy * xy;
  return {guess.x + (yy * xr - xy * yr) / det, guess.y + (xx * yr - xy * xr) / det};
}

// Nothing but wall and disc, which is thin so that its tread does not show. Constant quality 0 is
// lossless.
std::string bare_scene(const std::string& camera, const std::string& capture) {
  return R"({"camera": {"width_px": 640, "height_px": 480, "focal_px": 700, "distance_m": 3.5,
      "height_m": 1.6, "aim_height_m": 1.6)" +
         camera + R"(},
    "capture": {"frame_rate_hz": 10, "noise_sigma": 0, "crf": 0)" +
         capture + R"(},
    "motion": {"sets": [{"lift": "squat", "reps": 1, "walk_out": false, "before_s": 0.3, "top_height_m": 1.9,
                         "after_s": 0.3, "rest_s": 0.2}]},
    "disc": {"look": "plain", "colour": [30, 30, 30], "rest_of_bar": false, "thickness_m": 0.0001},
    "lifter": {"present": false},
    "gym": {"rack": false, "posters": false, "wall_texture": 0, "wall": [200, 200, 200],
            "floor": [200, 200, 200]}})";
}

double worst_error(const MadeClip& clip) {
  const auto frames = luma_of(clip);
  REQUIRE(frames.size() == clip.truth.frames.size());
  const render::CameraSpec& camera = clip.scene.camera;
  const double radius = camera.focal_px * 0.225 / camera.distance_m;
  double worst = 0.0;
  for (std::size_t i = 0; i < frames.size(); ++i) {
    const render::Pixel is = clip.truth.frames[i].rim_centre;
    const render::Pixel got = measured_centre(
        {frames[i], camera.width_px}, is, radius, 16 + 30 * 219.0 / 255, 16 + 200 * 219.0 / 255);
    worst = std::max({worst, std::abs(got.x - is.x), std::abs(got.y - is.y)});
  }
  return worst;
}

}  // namespace

TEST_CASE("the disc is where the truth says, to 0.02 px", "[render]") {
  CHECK(worst_error(made_clip("still", bare_scene("", R"(, "exposure_s": 0)"))) < 0.02);
}

TEST_CASE("motion blur leaves the disc's middle where it is at mid-exposure", "[render]") {
  // The mean of an arc is off its middle by a τ²/24: 5 m/s² and 20 ms give 0.08 mm, 0.017 px here,
  // on top of the 0.02 px above.
  CHECK(worst_error(made_clip("blurred", bare_scene("", R"(, "exposure_s": 0.02)"))) < 0.037);
}

TEST_CASE("a rolling shutter reads every row at its own time, and the truth knows", "[render]") {
  CHECK(worst_error(made_clip("rolling",
                              bare_scene("", R"(, "exposure_s": 0, "readout_s": 0.03)"))) < 0.03);
}

TEST_CASE("a shaking, turned camera moves the disc as the truth says", "[render]") {
  std::string scene = bare_scene(R"(, "roll_deg": 6)", R"(, "exposure_s": 0)");
  scene.insert(1, R"("tremor_px": 5, "knocks": [{"at_s": 0.5, "shift_x_px": 4, "swing_px": 6}],)");
  CHECK(worst_error(made_clip("shaken", scene)) < 0.02);
}

TEST_CASE("off square, rim and centre are projected as the closed forms say", "[render]") {
  // Disc of radius r on the axis at distance d, seen under yaw ψ with focal length f: the rim's
  // ellipse is off the centre's image by f r² sin ψ cos ψ/(d² − r² sin² ψ), towards the nearer edge
  // (derived from the cone through the rim; compare M. Matsuoka, M. Maruyama, ISPRS Annals 2016;
  // III-5:19–26). r = 0.225 m, d = 3 m, f = 1500 px.
  struct Row {
    double yaw_deg, offset_px;
  };
  const auto row = GENERATE(Row{10.0, 1.44314226}, Row{20.0, 2.71354574}, Row{30.0, 3.65868970});
  CAPTURE(row.yaw_deg);
  const MadeClip clip = made_clip("yaw",
                                  R"({
    "camera": {"width_px": 640, "height_px": 480, "focal_px": 1500, "distance_m": 3.0,
      "height_m": 1.44, "aim_height_m": 1.44, "yaw_deg": )" +
                                      std::to_string(row.yaw_deg) + R"(},
    "capture": {"frame_rate_hz": 5, "preset": "ultrafast"},
    "motion": {"sway_m": 0, "sets": [{"reps": 0, "walk_out": false, "before_s": 0.5,
                                      "after_s": 0.5}]}})");
  const render::FrameTruth& first = clip.truth.frames.front();
  CHECK_THAT(first.disc_centre.x, WithinAbs(0.5 * 639.0, 1e-9));
  CHECK_THAT(first.disc_centre.y, WithinAbs(0.5 * 479.0, 1e-9));
  // The camera stands to the right, so the disc's right edge is the nearer one.
  CHECK_THAT(first.rim_centre.x - first.disc_centre.x, WithinAbs(row.offset_px, 1e-6));
  CHECK_THAT(first.rim_centre.y - first.disc_centre.y, WithinAbs(0.0, 1e-6));
}
