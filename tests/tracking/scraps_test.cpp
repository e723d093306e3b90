// Truth: a smooth rise, h(t) = 0.3 (1 - cos(pi t / 0.8)) m, in closed form.

#include "libkinetics/tracking/scraps.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include <catch2/catch.hpp>

namespace {

using kinetics::Glimpse;

constexpr double kRateHz = 30.0;
constexpr double kRadiusPx = 70.0;
constexpr double kPxPerM = kRadiusPx / 0.225;

std::vector<Glimpse> rising_disc() {
  std::vector<Glimpse> glimpses;
  for (int frame = 0; frame < 24; ++frame) {
    Glimpse g;
    g.frame = frame;
    g.seen = true;
    g.xx = g.yy = static_cast<float>(kRadiusPx);
    g.sigma_x_px = g.sigma_y_px = 0.05F;
    g.rim_seen = 0.7F;
    const double t_s = frame / kRateHz;
    g.still_x_px = 400.0F;
    g.still_y_px =
        static_cast<float>(500.0 - kPxPerM * 0.3 * (1.0 - std::cos(std::numbers::pi * t_s / 0.8)));
    glimpses.push_back(g);
  }
  return glimpses;
}

}  // namespace

TEST_CASE("a scrap of rim off the course is doubted by as much as it is off") {
  std::vector<Glimpse> glimpses = rising_disc();
  glimpses[11].rim_seen = glimpses[12].rim_seen = 0.3F;
  glimpses[11].still_y_px += 10.0F;
  glimpses[12].still_y_px += 21.0F;
  kinetics::doubt_scraps(kRateHz, glimpses);
  // In a tenth of a second a bar may leave the curve by 2.4 mm, 0.75 px.
  CHECK(glimpses[11].sigma_y_px == Approx(10.0 - 0.85).margin(0.3));
  CHECK(glimpses[12].sigma_y_px == Approx(21.0 - 0.85).margin(0.3));
  CHECK(glimpses[12].sigma_x_px == Approx(0.05).margin(1e-6));
  CHECK(glimpses[10].sigma_y_px == Approx(0.05).margin(1e-6));
  CHECK(glimpses[13].sigma_y_px == Approx(0.05).margin(1e-6));
}

TEST_CASE("a scrap of rim on the course is believed") {
  std::vector<Glimpse> glimpses = rising_disc();
  for (const std::size_t k : {10U, 11U, 12U, 13U}) glimpses[k].rim_seen = 0.3F;
  kinetics::doubt_scraps(kRateHz, glimpses);
  for (const Glimpse& g : glimpses) CHECK(g.sigma_y_px == Approx(0.05).margin(1e-6));
}

TEST_CASE("a scrap of rim a little off the course is doubted when it is brief") {
  std::vector<Glimpse> glimpses = rising_disc();
  glimpses[11].rim_seen = 0.3F;
  glimpses[11].still_y_px += 2.0F;  // 6 mm
  kinetics::doubt_scraps(kRateHz, glimpses);
  CHECK(glimpses[11].sigma_y_px > 1.5F);
}

TEST_CASE("a bar that is pushed all at once is believed though only scraps show it") {
  // Acceleration steps up by 8 m/s² between frames: the height is 4 t² from then on.
  for (const double start : {7.2, 8.2, 9.5, 10.6, 11.4}) {
    std::vector<Glimpse> glimpses = rising_disc();
    for (Glimpse& g : glimpses) {
      const double since_s = std::max(0.0, g.frame - start) / kRateHz;
      g.still_y_px = static_cast<float>(500.0 - kPxPerM * 4.0 * since_s * since_s);
    }
    for (const std::size_t k : {8U, 9U, 10U, 11U}) glimpses[k].rim_seen = 0.3F;
    kinetics::doubt_scraps(kRateHz, glimpses);
    for (const Glimpse& g : glimpses) CHECK(g.sigma_y_px < 0.2F);
  }
}

TEST_CASE("a disc half covered for long is left as it is") {
  std::vector<Glimpse> glimpses = rising_disc();
  for (std::size_t k = 6; k < 16; ++k) {
    glimpses[k].rim_seen = 0.3F;
    glimpses[k].still_y_px += 10.0F;
  }
  kinetics::doubt_scraps(kRateHz, glimpses);
  for (const Glimpse& g : glimpses) CHECK(g.sigma_y_px == Approx(0.05).margin(1e-6));
}

TEST_CASE("glimpses too few for a curve are left as they are") {
  std::vector<Glimpse> none;
  kinetics::doubt_scraps(kRateHz, none);
  CHECK(none.empty());
  std::vector<Glimpse> few = rising_disc();
  few.resize(3);
  few[1].rim_seen = 0.2F;
  few[1].still_y_px += 30.0F;
  kinetics::doubt_scraps(kRateHz, few);
  CHECK(few[1].sigma_y_px == Approx(0.05).margin(1e-6));
}
