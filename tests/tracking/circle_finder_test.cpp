// Circles drawn in closed form are found at their place and size, ellipses of 30° off square too
// (half-axes 0.866 : 1, the cosine of 30°). The tolerance is the 16 % of the radius within which
// the rim is then searched at full resolution.
#include "libkinetics/tracking/circle_finder.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "tests/tracking/drawn_disc.h"

using kinetics_test::draw;

TEST_CASE("a disc is found at its place and size", "[tracking]") {
  const double radius = GENERATE(10.0, 18.0, 30.0, 52.0);
  const double narrow = GENERATE(1.0, 0.866);
  CAPTURE(radius, narrow);
  const auto picture = draw({.half_width_px = radius * narrow,
                             .half_height_px = radius,
                             .edge_blur_px = 0.7,
                             .noise = 1.5});
  const cv::Mat1b image(
      picture.height, picture.width, const_cast<std::uint8_t*>(picture.pixels.data()));
  const auto circles = kinetics::find_circles(image);
  REQUIRE_FALSE(circles.empty());
  CHECK(circles.front().x_px == Approx(160.3).margin(0.16 * radius));
  CHECK(circles.front().y_px == Approx(119.7).margin(0.16 * radius));
  CHECK(circles.front().radius_px == Approx(radius * std::sqrt(narrow)).epsilon(0.16));
}

TEST_CASE("an even grey picture holds no circle", "[tracking]") {
  CHECK(kinetics::find_circles(cv::Mat1b(240, 320, static_cast<unsigned char>(128))).empty());
}
