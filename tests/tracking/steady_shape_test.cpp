// Centres that err along with the shape, as half a rim makes them: x = truth + gain · (error of the
// shape). Truth is the made-up path itself. Tolerance: the mean of the shape's error over the
// window, sigma · sqrt(1 / frames in it), times the gain.
#include "libkinetics/tracking/steady_shape.h"

#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

using kinetics::Glimpse;

namespace {

constexpr double kRateHz = 60.0;
constexpr double kShapeSigmaPx = 0.10;
constexpr double kGain = 0.8;
constexpr double kHeldSigmaPx = 0.01;

struct Made {
  std::vector<Glimpse> glimpses;
  std::vector<double> true_y;
};

/// A disc going up and down whose height in the picture grows by `growth` px per px of place.
Made moving_disc(int frames, double growth) {
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  Made made;
  for (int k = 0; k < frames; ++k) {
    const double y = 500.0 + 150.0 * std::sin(0.05 * k);
    const double error = kShapeSigmaPx * normal(random);
    const double place = y + kGain * error + kHeldSigmaPx * normal(random);
    Glimpse g;
    g.frame = k;
    g.seen = true;
    g.x_px = 700.0F;
    g.y_px = g.still_y_px = static_cast<float>(place);
    g.xx = 105.0F;
    g.yy = static_cast<float>(105.0 + growth * (y - 500.0) + error);
    g.rim_seen = 0.95F;
    g.held_sigma_x_px = g.held_sigma_y_px = static_cast<float>(kHeldSigmaPx);
    g.sigma_x_px = g.sigma_y_px =
        static_cast<float>(std::hypot(kHeldSigmaPx, kGain * kShapeSigmaPx));
    g.centre_by_shape[5] = static_cast<float>(kGain);
    made.glimpses.push_back(g);
    made.true_y.push_back(y);
  }
  return made;
}

double rms_px(const Made& made) {
  double sum = 0.0;
  for (std::size_t i = 0; i < made.true_y.size(); ++i) {
    sum += std::pow(static_cast<double>(made.glimpses[i].y_px) - made.true_y[i], 2);
  }
  return std::sqrt(sum / static_cast<double>(made.true_y.size()));
}

}  // namespace

TEST_CASE("what pictures say wrongly of the shape is taken out of the centre", "[tracking]") {
  Made made = moving_disc(600, GENERATE(0.0, 0.004));
  REQUIRE(rms_px(made) > 0.9 * kGain * kShapeSigmaPx);
  kinetics::steady_shape(kRateHz, made.glimpses);
  // Some 180 frames lie in the window: 0.8 · 0.10 / sqrt(180) px beside what is left in any case.
  CHECK(rms_px(made) < 1.5 * std::hypot(kHeldSigmaPx, 0.006));
  // The stated sigma follows: no wider than before, and no narrower than the error.
  const double stated = static_cast<double>(made.glimpses[300].sigma_y_px);
  CHECK(stated > 0.8 * rms_px(made));
  CHECK(stated < 0.5 * kGain * kShapeSigmaPx);
}

TEST_CASE("a disc that really grows is not taken for an error", "[tracking]") {
  Made made = moving_disc(600, 0.0);
  // Half a pixel in 5 s, as when the lifter steps nearer.
  for (Glimpse& g : made.glimpses) g.yy += 0.5F * static_cast<float>(g.frame) / 300.0F;
  kinetics::steady_shape(kRateHz, made.glimpses);
  CHECK(rms_px(made) < 0.04);
}

TEST_CASE("glimpses of which nothing is known stay where they are", "[tracking]") {
  Made made = moving_disc(600, 0.0);
  for (Glimpse& g : made.glimpses) g.centre_by_shape = {};
  const std::vector<Glimpse> before = made.glimpses;
  kinetics::steady_shape(kRateHz, made.glimpses);
  for (std::size_t i = 0; i < before.size(); ++i) {
    CHECK(made.glimpses[i].y_px == before[i].y_px);
    CHECK(made.glimpses[i].sigma_y_px == before[i].sigma_y_px);
  }
}
