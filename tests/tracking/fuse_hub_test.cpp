#include "libkinetics/tracking/fuse_hub.h"

#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

namespace kinetics {
namespace {

constexpr int kFrames = 600;
constexpr double kRateHz = 30.0;
constexpr double kRimPx = 60.0;
constexpr double kHubPx = 15.0;

double true_y(int frame) {
  return 300.0 - 70.0 * std::cos(0.1 * frame);
}

Glimpse glimpse(int frame, double x, double y, double radius, double sigma, double seen) {
  Glimpse g;
  g.frame = frame;
  g.seen = true;
  g.x_px = g.still_x_px = static_cast<float>(x);
  g.y_px = g.still_y_px = static_cast<float>(y);
  g.xx = g.yy = static_cast<float>(radius);
  g.lasting_px = 0.03F;
  g.sigma_x_px = g.sigma_y_px = static_cast<float>(std::hypot(sigma, 0.03));
  g.shape_sigma_px = 0.03F;
  g.rim_seen = static_cast<float>(seen);
  return g;
}

/// A disc that goes up and down, with its hub 2 px right of and 1 px above its centre.
struct Scene {
  std::vector<Glimpse> hub;
  GlimpsesByFrame disc;
  std::mt19937 dice{7};

  Scene(double rim_noise, double hub_noise, double parallax = 0.0) {
    std::normal_distribution<double> unit;
    for (int f = 0; f < kFrames; ++f) {
      const double y = true_y(f);
      const double hub_y = y - 1.0 + parallax * (y - 300.0);
      disc[f] = glimpse(
          f, 500.0 + rim_noise * unit(dice), y + rim_noise * unit(dice), kRimPx, rim_noise, 0.95);
      hub.push_back(glimpse(f,
                            502.0 + hub_noise * unit(dice),
                            hub_y + hub_noise * unit(dice),
                            kHubPx,
                            hub_noise,
                            0.90));
    }
  }

  /// Scatter of the heights about the truth, a constant offset apart, px.
  [[nodiscard]] double scatter() const {
    double sum = 0.0;
    double squares = 0.0;
    for (const auto& [frame, g] : disc) {
      const double e = g.still_y_px - true_y(frame);
      sum += e;
      squares += e * e;
    }
    const auto n = static_cast<double>(disc.size());
    return std::sqrt(squares / n - sum / n * sum / n);
  }
  /// Slope of the error along the way: an error of the scale.
  [[nodiscard]] double slope() const {
    double se = 0.0;
    double ss = 0.0;
    for (const auto& [frame, g] : disc) {
      const double s = true_y(frame) - 300.0;
      se += s * (g.still_y_px - true_y(frame));
      ss += s * s;
    }
    return se / ss;
  }
};

}  // namespace

TEST_CASE("rim and hub together are nearer the truth than either") {
  Scene scene(0.10, 0.10);
  const double before = scene.scatter();
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(scene.scatter() < 0.8 * before);
  CHECK(scene.scatter() > 0.5 * before);  // 1/√2 is what two alike can do
}

TEST_CASE("the stated sigma of the two together is what they scatter") {
  Scene scene(0.10, 0.10);
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(scene.disc.at(300).sigma_y_px == Approx(scene.scatter()).epsilon(0.25));
}

TEST_CASE("a rim that takes another edge for its own for a while is put right by the hub") {
  Scene scene(0.05, 0.05);
  for (int f = 200; f < 420; ++f) {
    Glimpse& g = scene.disc.at(f);
    g.y_px += 4.0F;
    g.still_y_px += 4.0F;
    g.xx *= 1.04F;
    g.yy *= 1.04F;
    g.rim_seen = 0.55F;
  }
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(scene.scatter() < 0.15);
  CHECK(scene.disc.at(300).yy == Approx(kRimPx).epsilon(0.005));
}

TEST_CASE("where the rim is hidden the hub tells where the disc is") {
  Scene scene(0.05, 0.05);
  for (int f = 250; f < 290; ++f) scene.disc.at(f).seen = false;
  for (int f = 400; f < 420; ++f) scene.disc.erase(f);
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  REQUIRE(scene.disc.size() == kFrames);
  CHECK(scene.disc.at(270).seen);
  CHECK(scene.disc.at(410).seen);
  CHECK(scene.scatter() < 0.10);
}

TEST_CASE("a hub that stands out from the face moves faster and does not change the scale") {
  Scene scene(0.05, 0.05, 0.006);
  const double sigma = fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(std::abs(scene.slope()) < 0.0015);
  CHECK(std::abs(scene.slope()) < 3.0 * sigma + 1e-4);
}

TEST_CASE("a ring of another size for a while is not the hub") {
  Scene scene(0.05, 0.05);
  const double before = scene.scatter();
  for (std::size_t k = 100; k < 160; ++k) {
    Glimpse& g = scene.hub[k];
    g.xx = g.yy = 11.0F;
    g.y_px += 3.0F;
    g.still_y_px += 3.0F;
  }
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(scene.scatter() < 1.1 * before);
}

TEST_CASE("a hub taken for a wider ring from some time on does not widen the rim") {
  Scene scene(0.05, 0.02);
  std::normal_distribution<double> size(kRimPx, 0.3);
  for (auto& [frame, g] : scene.disc) g.xx = g.yy = static_cast<float>(size(scene.dice));
  for (std::size_t k = 360; k < kFrames; ++k) scene.hub[k].xx = scene.hub[k].yy = 20.0F;
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  double mean_px = 0.0;
  for (int f = 400; f < kFrames; ++f) mean_px += scene.disc.at(f).yy / (kFrames - 400.0);
  CHECK(mean_px == Approx(kRimPx).epsilon(0.005));
}

TEST_CASE("a groove followed for a while in the rim's stead is put right by the hub") {
  Scene scene(0.05, 0.05);
  for (int f = 0; f < 90; ++f) {
    Glimpse& g = scene.disc.at(f);
    g.xx = g.yy = 48.0F;
    g.y_px += 3.0F;
    g.still_y_px += 3.0F;
  }
  (void)fuse_hub(scene.hub, kRateHz, scene.disc);
  CHECK(scene.scatter() < 0.10);
  CHECK(scene.disc.at(40).yy == Approx(kRimPx).epsilon(0.01));
}

TEST_CASE("a hub seen only for a moment teaches nothing and changes nothing") {
  Scene scene(0.05, 0.05);
  scene.hub.resize(8);
  const GlimpsesByFrame before = scene.disc;
  CHECK(fuse_hub(scene.hub, kRateHz, scene.disc) == 0.0);
  CHECK(scene.disc.at(3).y_px == before.at(3).y_px);
}

TEST_CASE("a ring that stays behind does not fill in for a disc") {
  Scene scene(0.05, 0.05);
  for (Glimpse& g : scene.hub) g.y_px = g.still_y_px = 300.0F;
  for (int f = 250; f < 290; ++f) scene.disc.at(f).seen = false;
  fill_from_ring(scene.hub, scene.disc);
  CHECK_FALSE(scene.disc.at(270).seen);
}

TEST_CASE("a still ring beside a disc that has gone does not stand in for it", "[tracking]") {
  // The rim is hidden from frame 100 to 130, in which the disc rises by 60 px; one ring goes along
  // with it, another lies where the disc was, 0.6 of its radius aside.
  const auto filled_by = [](bool still) {
    GlimpsesByFrame own;
    for (int f = 0; f < 200; ++f) {
      own[f] = glimpse(f, 500.0, true_y(f), kRimPx, 0.1, 0.9);
      own[f].seen = f < 100 || f >= 130;
    }
    GlimpsesByFrame joined = own;
    for (int f = 100; f < 130; ++f) {
      const double x = still ? 500.0 + 0.6 * kRimPx : 501.0;
      joined[f] = glimpse(f, x, still ? true_y(100) : true_y(f), kRimPx, 0.1, 0.9);
    }
    drop_unjoined(own, kRateHz, joined);
    int seen = 0;
    for (const auto& [frame, g] : joined) seen += g.seen && frame >= 100 && frame < 130 ? 1 : 0;
    return seen;
  };
  CHECK(filled_by(false) == 30);
  CHECK(filled_by(true) == 0);
}

}  // namespace kinetics
