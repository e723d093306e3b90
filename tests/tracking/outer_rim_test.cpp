// Truth: pictures of concentric rims drawn in closed form, and censuses written down by hand.

#include "libkinetics/tracking/outer_rim.h"

#include <cmath>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/tracking/rim_census.h"
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
RimCensus census_of_ring(double factor) {
  constexpr int kPlaces = 8;
  RimCensus mean{.by_sector = std::vector<float>(RimCensus::kSectors * RimCensus::kCount, 0.0F)};
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
    for (std::size_t k = 0; k < mean.by_sector.size(); ++k) {
      mean.by_sector[k] += seen.by_sector[k] / kPlaces;
    }
  }
  return mean;
}

/// The same share everywhere but for the followed rim, at 1.00.
RimCensus flat_census(float usual) {
  RimCensus census{.by_sector = std::vector<float>(RimCensus::kSectors * RimCensus::kCount, usual)};
  for (std::size_t s = 0; s < RimCensus::kSectors; ++s) {
    for (const std::size_t k : {29U, 30U, 31U}) census.by_sector[s * RimCensus::kCount + k] = 0.95F;
  }
  return census;
}

constexpr std::size_t kEighths = 8;

void set_bin(RimCensus& census, std::size_t eighth, std::size_t bin, float seen) {
  constexpr std::size_t kSectors = RimCensus::kSectors / kEighths;
  for (std::size_t s = eighth * kSectors; s < (eighth + 1) * kSectors; ++s) {
    census.by_sector[s * RimCensus::kCount + bin] = seen;
  }
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
  RimCensus seen = flat_census(0.05F);
  for (std::size_t k = 32; k < 38; ++k) {
    for (std::size_t s = 0; s < kEighths; ++s) {
      set_bin(seen, s, k, 0.24F - 0.02F * static_cast<float>(k - 32));
    }
  }
  CHECK(outer_rim(seen).factor == 1.0);
}

TEST_CASE("a busy background makes no outer rim") {
  RimCensus seen = flat_census(0.15F);
  std::size_t eighth = 0;
  for (std::size_t k = 40; k < 90; k += 7) {
    for (const std::size_t s : {0U, 1U, 3U, 6U}) {
      set_bin(seen, (eighth + s) % kEighths, k, 0.45F);
    }
    ++eighth;
  }
  CHECK(outer_rim(seen).factor == 1.0);
}

TEST_CASE("a rim that shows a little most of the way round is an outer rim, a crescent is none") {
  // Before a busy background, a dark floor below and a post before it: 10 % more in five of the
  // eight eighths. A rear rim or the far disc of the bar: clearly, in three next to each other.
  RimCensus rim = flat_census(0.12F);
  RimCensus crescent = rim;
  for (const std::size_t k : {39U, 40U, 41U}) {
    for (const std::size_t s : {4U, 5U, 6U, 7U, 0U}) set_bin(rim, s, k, k == 40U ? 0.26F : 0.22F);
    for (const std::size_t s : {6U, 7U, 0U}) set_bin(crescent, s, k, k == 40U ? 0.45F : 0.40F);
  }
  CHECK(std::abs(outer_rim(rim).factor - 1.10) < 0.01);
  CHECK(outer_rim(crescent).factor == 1.0);
}

TEST_CASE("without a census there is no outer rim") {
  CHECK(outer_rim({}).factor == 1.0);
}
