// Truth: pictures of two discs drawn in closed form.
#include "libkinetics/tracking/disc_behind.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/tracking/rim_census.h"
#include "tests/tracking/drawn_disc.h"

namespace {

using Eigen::Vector2d;
using kinetics::disc_behind;
using kinetics::Ellipse;

constexpr double kFrontPx = 60.0;
const Vector2d kCentre(160.3, 119.7);

/// From 0 outside to 1 inside, over about two pixels.
double covered(double x, double y, const Vector2d& centre, double radius) {
  return 0.5 + 0.5 * std::tanh(radius - (Vector2d(x, y) - centre).norm());
}

/// A disc of kFrontPx, and one behind it that is darker and lies `aside` of it.
kinetics::RimCensus census(double behind_px, const Vector2d& aside) {
  kinetics::testing::Picture picture{.pixels = {}, .width = 320, .height = 240};
  for (int y = 0; y < picture.height; ++y) {
    for (int x = 0; x < picture.width; ++x) {
      double grey = 10.0 + 90.0 * covered(x, y, kCentre + aside, behind_px);
      grey += (200.0 - grey) * covered(x, y, kCentre, kFrontPx);
      picture.pixels.push_back(static_cast<std::uint8_t>(std::lround(grey)));
    }
  }
  return kinetics::census_of_rims(picture.view(),
                                  Ellipse{kCentre, kFrontPx * Eigen::Matrix2d::Identity()});
}

}  // namespace

TEST_CASE("a larger disc behind, seen from aside, is found and measured", "[tracking]") {
  const double factor = GENERATE(1.125, 1.4);
  const Vector2d aside = GENERATE(Vector2d(7.0, 0.0), Vector2d(-5.0, -4.0));
  const auto found = disc_behind(census(factor * kFrontPx, aside));
  REQUIRE(found);
  CAPTURE(factor, found->factor);
  CHECK(std::abs(found->factor / factor - 1.0) < 2.5 * found->sigma_rel);
}

TEST_CASE("no larger disc is made of one that is alone, or of a ring on its face", "[tracking]") {
  CHECK_FALSE(disc_behind(census(0.9 * kFrontPx, {0.0, 0.0})));
  CHECK_FALSE(disc_behind(census(1.1 * kFrontPx, {0.0, 0.0})));
  CHECK_FALSE(disc_behind({}));
}
