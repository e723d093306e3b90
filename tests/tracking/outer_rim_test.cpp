// Truth: pictures of concentric rims drawn in closed form, and censuses written down by hand.

#include "libkinetics/tracking/outer_rim.h"

#include <cmath>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/tracking/rim.h"
#include "tests/tracking/drawn_disc.h"

namespace {

using kinetics::census_of_rims;
using kinetics::Ellipse;
using kinetics::outer_rim;
using kinetics::OuterRim;
using kinetics::RimCensus;

constexpr double kRingPx = 60.0;

/// Mean census about a painted ring on a black disc that is `factor` times as wide. What lies
/// behind is as dark as the disc, but for a bright fifth of the way round, elsewhere each time.
std::vector<float> census_of_ring(double factor) {
  constexpr int kPlaces = 8;
  std::vector<float> mean(RimCensus::kCount, 0.0F);
  for (int place = 0; place < kPlaces; ++place) {
    kinetics::testing::Picture picture =
        kinetics::testing::draw({.half_width_px = kRingPx * factor,
                                 .half_height_px = kRingPx * factor,
                                 .inside = 25.0,
                                 .outside = 90.0});
    const Eigen::Vector2d centre(160.3, 119.7);
    for (int y = 0; y < picture.height; ++y) {
      for (int x = 0; x < picture.width; ++x) {
        const Eigen::Vector2d from = Eigen::Vector2d(x, y) - centre;
        const double turn = std::atan2(from.y(), from.x()) / (2.0 * std::numbers::pi) + 1.0;
        const bool bright = std::fmod(turn + 0.37 * place, 1.0) < 0.22;
        auto& pixel = picture.pixels[static_cast<std::size_t>(y * picture.width + x)];
        if (!bright) pixel = 25;
        // A ring 3 px wide, its outer edge at kRingPx.
        const double into = kRingPx - from.norm();
        if (into > 0.0 && into < 3.0) pixel = 200;
      }
    }
    const auto seen =
        census_of_rims(picture.view(), Ellipse{centre, kRingPx * Eigen::Matrix2d::Identity()});
    for (std::size_t k = 0; k < mean.size(); ++k) mean[k] += seen[k] / kPlaces;
  }
  return mean;
}

std::vector<float> flat_census(float usual) {
  std::vector<float> seen(RimCensus::kCount, usual);
  for (const std::size_t k : {29U, 30U, 31U}) seen[k] = 0.95F;  // the followed one, at 1.00
  return seen;
}

}  // namespace

TEST_CASE("a rim that shows against a bright fifth of the background is found outside a ring") {
  for (const double factor : {1.08, 1.115, 1.17}) {
    const OuterRim outer = outer_rim(census_of_ring(factor));
    CAPTURE(factor, outer.factor);
    CHECK(std::abs(outer.factor - factor) < 3.0 * outer.factor * outer.sigma_rel);
    CHECK(outer.sigma_rel > 0.0);
  }
}

TEST_CASE("a rear rim that shows beside the front one is no outer rim") {
  // From 25° off square it lies from 0 to 6 % outside, spread over all of that.
  std::vector<float> seen = flat_census(0.05F);
  for (std::size_t k = 32; k < 38; ++k) seen[k] = 0.24F - 0.02F * static_cast<float>(k - 32);
  CHECK(outer_rim(seen).factor == 1.0);
}

TEST_CASE("a busy background makes no outer rim") {
  std::vector<float> seen = flat_census(0.15F);
  for (std::size_t k = 40; k < 90; k += 7) seen[k] = 0.30F;
  CHECK(outer_rim(seen).factor == 1.0);
}

TEST_CASE("without a census there is no outer rim") {
  CHECK(outer_rim({}).factor == 1.0);
}
