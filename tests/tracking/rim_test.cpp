// The rim against discs drawn in closed form. Outside references: the Cramér–Rao bound for a
// circle's centre, sigma_x >= (noise/contrast)·sqrt(2 s/(sqrt(pi) R)) with s the edge's blur (H. L.
// Van Trees, Detection, Estimation, and Modulation Theory, 1968, for the bound; worked number
// 0.0111971 px for noise 5, contrast 60, s 1.2 px, R 75 px), and OpenCV's direct ellipse fit on
// points of the rim.
#include "libkinetics/tracking/rim.h"

#include <cmath>
#include <numbers>
#include <random>

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "tests/tracking/drawn_disc.h"

using kinetics::DiscDepth;
using kinetics::Ellipse;
using kinetics::measure_rim;
using kinetics::RimOptions;
using kinetics_test::draw;
using kinetics_test::DrawnDisc;

namespace {

Ellipse near(const DrawnDisc& disc, double dx, double dy) {
  Ellipse e;
  e.centre = {disc.x_px + dx, disc.y_px + dy};
  e.shape << disc.half_width_px, 0.0, 0.0, disc.half_height_px;
  return e;
}

/// No depth: a flat disc drawn by itself.
RimOptions flat() {
  RimOptions options;
  options.depth = DiscDepth::none();
  return options;
}

}  // namespace

TEST_CASE("the centre of a noisy disc is found within 3 times the Cramér–Rao bound", "[tracking]") {
  const double bound_px = 0.0111971;
  double square = 0.0;
  double stated = 0.0;
  const int pictures = 200;
  std::mt19937 random(7);
  std::uniform_real_distribution<double> place(-0.5, 0.5);
  for (int k = 0; k < pictures; ++k) {
    DrawnDisc disc;
    disc.x_px += place(random);
    disc.y_px += place(random);
    disc.noise = 5.0;
    disc.seed = static_cast<unsigned>(100 + k);
    const auto picture = draw(disc);
    const auto fit = measure_rim(picture.view(), near(disc, 1.0, -1.5), flat());
    REQUIRE(fit);
    square += std::pow(fit->ellipse.centre.y() - disc.y_px, 2);
    stated += std::sqrt(fit->centre_cov_px2(1, 1));
  }
  const double rms_px = std::sqrt(square / pictures);
  CAPTURE(rms_px, stated / pictures);
  CHECK(rms_px > 0.9 * bound_px);  // below the bound something would be counted twice
  CHECK(rms_px < 3.0 * bound_px);
  // The stated sigma is honest: within a factor of two of what happens.
  CHECK(stated / pictures > 0.5 * rms_px);
  CHECK(stated / pictures < 2.0 * rms_px);
}

TEST_CASE("a clean ellipse is found within 0.02 px from any nearby guess", "[tracking]") {
  DrawnDisc disc;
  disc.half_width_px = GENERATE(75.0, 70.0, 64.0);
  const auto picture = draw(disc);
  RimOptions options = flat();
  options.search_px = 10.0;
  options.shape_sigma_rel = 0.10;
  const double dx = GENERATE(-6.0, 0.0, 5.0);
  const double dy = GENERATE(-5.0, 2.0, 7.0);
  const auto fit = measure_rim(picture.view(), near(disc, dx, dy), options);
  REQUIRE(fit);
  CHECK(fit->ellipse.centre.x() == Approx(disc.x_px).margin(0.02));
  CHECK(fit->ellipse.centre.y() == Approx(disc.y_px).margin(0.02));
  CHECK(fit->ellipse.half_width_px() == Approx(disc.half_width_px).margin(0.04));
  CHECK(fit->ellipse.half_height_px() == Approx(disc.half_height_px).margin(0.04));
  CHECK(fit->rim_seen > 0.95);
}

TEST_CASE("the fit agrees with OpenCV's direct ellipse fit on the same rim", "[tracking][oracle]") {
  const DrawnDisc disc{.half_width_px = 66.0, .half_height_px = 75.0};
  std::vector<cv::Point2f> rim;
  for (int k = 0; k < 90; ++k) {
    const double phi = 2.0 * std::numbers::pi * k / 90;
    rim.emplace_back(static_cast<float>(disc.x_px + disc.half_width_px * std::cos(phi)),
                     static_cast<float>(disc.y_px + disc.half_height_px * std::sin(phi)));
  }
  const cv::RotatedRect peer = cv::fitEllipseAMS(rim);
  const auto picture = draw(disc);
  RimOptions options = flat();
  options.shape_sigma_rel = 0.10;
  const auto fit = measure_rim(picture.view(), near(disc, 1.0, 1.0), options);
  REQUIRE(fit);
  CHECK(fit->ellipse.centre.x() == Approx(peer.center.x).margin(0.03));
  CHECK(fit->ellipse.centre.y() == Approx(peer.center.y).margin(0.03));
  CHECK(2.0 * fit->ellipse.half_height_px() ==
        Approx(std::max(peer.size.width, peer.size.height)).margin(0.08));
}

TEST_CASE("with the lower two thirds covered the centre is still found", "[tracking]") {
  const DrawnDisc disc;
  auto picture = draw(disc);
  for (int y = 96; y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      picture.pixels[static_cast<std::size_t>(y * picture.width + x)] = 90;
    }
  }
  RimOptions options = flat();
  options.shape_sigma_rel = 0.002;
  options.min_rim_seen = 0.25;
  const auto fit = measure_rim(picture.view(), near(disc, 1.0, 2.0), options);
  REQUIRE(fit);
  CHECK(fit->ellipse.centre.y() == Approx(disc.y_px).margin(0.15));
  CHECK(fit->rim_seen < 0.5);
}

TEST_CASE("noise without a disc gives no rim, and the search ends", "[tracking]") {
  std::mt19937 random(3);
  std::uniform_int_distribution<int> grey(0, 255);
  kinetics_test::Picture picture{.pixels = {}, .width = 320, .height = 240};
  for (int k = 0; k < 320 * 240; ++k) {
    picture.pixels.push_back(static_cast<std::uint8_t>(grey(random)));
  }
  RimOptions options = flat();
  options.search_px = 30.0;
  options.shape_sigma_rel = 0.10;
  options.min_rim_seen = 0.8;
  CHECK_FALSE(measure_rim(picture.view(), near({}, 0.0, 0.0), options));
}
