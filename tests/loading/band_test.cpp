// Bands against closed forms, SciPy 1.10's PchipInterpolator, and rubber theory.
//
// Rubber: neo-Hookean loop, T = G A (λ - 1/λ²) (Treloar, The Physics of Rubber Elasticity; G of
// 0.4 MPa is of that book's order, from memory). Measured gym bands are curved and chains straight
// (McMaster, Cronin, McGuigan, J Strength Cond Res 24 (2010) 2056-2064).
#include "libkinetics/loading/band.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/loading/bar_load.h"
#include "tests/loading/steps.h"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {
namespace {

/// Loop of rubber 30 mm × 4.5 mm, both strands, G = 0.4 MPa.
double rubber_n(double stretch) {
  return 0.4e6 * 270e-6 * (stretch - 1.0 / (stretch * stretch));
}

BandTension rubber_table(double rest_m) {
  BandTension tension{.rest_length_m = rest_m};
  for (int i = 0; i <= 30; ++i) {
    const double stretch = 1.0 + 0.05 * i;
    tension.length_m_tension_n.emplace_back(rest_m * stretch, rubber_n(stretch));
  }
  return tension;
}

Band two_bands(BandTension tension) {
  return {.name = "medium", .tension = std::move(tension)};
}

BandTension line(double rest_m, double n_per_m) {
  return {.polynomial_n = {0.0, n_per_m}, .rest_length_m = rest_m};
}

/// Downward force from the rate of change of stored energy, which knows no directions.
double pull_from_energy(const Band& band, double h) {
  const double dh = 1e-5;
  return (band_at(band, h + dh).energy_j - band_at(band, h - dh).energy_j) / (2.0 * dh);
}

}  // namespace

TEST_CASE("a table of tensions is followed as SciPy's monotone cubic does", "[loading]") {
  const BandTension tension{
      .length_m_tension_n = {{1.0, 0.0}, {1.2, 60.0}, {1.5, 110.0}, {1.6, 124.0}, {2.1, 190.0}},
      .rest_length_m = 1.0};
  const auto [length_m, n, slope, energy_j] = GENERATE(table<double, double, double, double>({
      {1.05, 17.264563106796135, 335.48543689320394, 0.435332389428264},
      {1.3, 79.33836749370732, 172.22222222222217, 13.45506112909026},
      {1.55, 117.16529605263158, 138.30592105263145, 38.14454062029823},
      {2.0, 177.30308771929822, 128.52929824561411, 104.54456946715494},
      {2.1, 190.0, 125.33333333333346, 122.91238715721343},
  }));
  CAPTURE(length_m);
  const TensionAt at = tension_at(tension, length_m);
  CHECK_THAT(at.tension_n, WithinRel(n, 1e-12));
  CHECK_THAT(at.slope_n_per_m, WithinRel(slope, 1e-12));
  CHECK_THAT(at.energy_j, WithinRel(energy_j, 1e-12));
}

TEST_CASE("a table that rises unevenly does not overshoot, as in SciPy", "[loading]") {
  const BandTension tension{
      .length_m_tension_n = {{1.0, 10.0}, {1.5, 60.0}, {2.0, 61.0}, {2.2, 100.0}}};
  CHECK_THAT(tension_at(tension, 1.1).tension_n, WithinRel(24.673254901960796, 1e-12));
  CHECK_THAT(tension_at(tension, 1.7).slope_n_per_m, WithinRel(0.936224580894752, 1e-12));
  CHECK_THAT(tension_at(tension, 2.1).tension_n, WithinRel(74.36152132016382, 1e-12));
}

TEST_CASE("beyond its last row a table goes on straight", "[loading]") {
  const BandTension tension{.length_m_tension_n = {{1.0, 0.0}, {1.5, 100.0}, {2.0, 180.0}}};
  const TensionAt end = tension_at(tension, 2.0);
  const TensionAt beyond = tension_at(tension, 2.3);
  CHECK_THAT(beyond.tension_n, WithinRel(180.0 + 0.3 * end.slope_n_per_m, 1e-12));
  CHECK_THAT(beyond.energy_j - end.energy_j,
             WithinRel(0.3 * (180.0 + 0.15 * end.slope_n_per_m), 1e-12));
}

TEST_CASE("a table that starts under tension is slack where its first piece meets zero",
          "[loading]") {
  const BandTension tension{.length_m_tension_n = {{1.5, 100.0}, {2.0, 200.0}}};
  CHECK(tension_at(tension, 0.9).tension_n == 0.0);
  CHECK_THAT(tension_at(tension, 1.2).tension_n, WithinRel(40.0, 1e-12));
  CHECK_THAT(tension_at(tension, 1.2).energy_j, WithinRel(0.5 * 40.0 * 0.2, 1e-12));
}

TEST_CASE("a table of rubber is met between its rows within a tenth of a newton", "[loading]") {
  const BandTension tension = rubber_table(1.0);
  for (const double stretch : steps(1.26, 0.013, 96)) {
    CAPTURE(stretch);
    CHECK_THAT(tension_at(tension, stretch).tension_n, WithinAbs(rubber_n(stretch), 0.1));
  }
  // Closed form: 65.88, 114, 189, 252.72 N at stretches of 1.25, 1.5, 2 and 2.5.
  CHECK_THAT(tension_at(tension, 1.25).tension_n, WithinAbs(65.88, 0.005));
  CHECK_THAT(tension_at(tension, 1.5).tension_n, WithinAbs(114.0, 0.005));
  CHECK_THAT(tension_at(tension, 2.0).tension_n, WithinAbs(189.0, 0.005));
  CHECK_THAT(tension_at(tension, 2.5).tension_n, WithinAbs(252.72, 0.005));
}

TEST_CASE("bands bend where chain is straight", "[loading]") {
  // Midway between two heights a chain's load is the mean of both; rubber's, which is concave, is
  // more than that.
  BarLoad rubber{.bar_kg = 60.0, .bands = {two_bands(rubber_table(0.7))}};
  BarLoad chain{.bar_kg = 60.0};
  chain.chains.push_back({.name = "c", .mass_kg_per_m = 3.8, .free_length_m = 1.5});
  const auto bow_n = [](const BarLoad& load) {
    return load_at(load, 1.0).weight_n -
           (load_at(load, 0.75).weight_n + load_at(load, 1.25).weight_n) / 2.0;
  };
  CHECK_THAT(bow_n(chain), WithinAbs(0.0, 1e-9));
  const double want =
      2.0 * (rubber_n(1.0 / 0.7) - (rubber_n(0.75 / 0.7) + rubber_n(1.25 / 0.7)) / 2.0);
  CHECK(want > 10.0);
  CHECK_THAT(bow_n(rubber), WithinAbs(want, 0.5));
}

TEST_CASE("a slack band does nothing, to the height where it tightens", "[loading]") {
  const Band band = two_bands(line(1.0, 200.0));
  CHECK(band_at(band, 0.5).pull_n == 0.0);
  CHECK(band_at(band, 1.0).pull_n == 0.0);
  CHECK(band_at(band, 0.5).energy_j == 0.0);
  CHECK_THAT(band_at(band, 1.1).pull_n, WithinRel(2 * 20.0, 1e-12));
  CHECK_THAT(band_at(band, 1.1).pull_slope_n_per_m, WithinRel(400.0, 1e-12));
}

TEST_CASE("a doubled band is half as long and pulls twice", "[loading]") {
  // One band of 200 N/m and 1.0 m, folded: at 0.8 m it is stretched to 1.6 m and pulls with
  // 120 N in each run.
  Band band = two_bands(line(1.0, 200.0));
  band.doubled = true;
  CHECK_THAT(band_at(band, 0.8).pull_n, WithinRel(2 * 2 * 120.0, 1e-12));
  CHECK_THAT(band_at(band, 0.8).pull_slope_n_per_m, WithinRel(2 * 4 * 200.0, 1e-12));
  CHECK(band_at(band, 0.5).pull_n == 0.0);
}

TEST_CASE("a choke uses up band and so tightens it", "[loading]") {
  Band band = two_bands(line(1.0, 200.0));
  band.wrap_length_m = 0.15;
  CHECK_THAT(band_at(band, 1.0).pull_n, WithinRel(2 * 200.0 * 0.15, 1e-12));
}

TEST_CASE("a reverse band holds the bar up, most at the bottom", "[loading]") {
  Band band = two_bands(line(1.0, 200.0));
  band.anchor_height_m = 2.4;
  const BarLoad load{.bar_kg = 100.0, .bands = {band}};
  // 2.4 - 0.5 = 1.9 m of band: 180 N each, upward. At 1.5 m it is slack.
  CHECK_THAT(load_at(load, 0.5).weight_n, WithinRel(980.665 - 360.0, 1e-12));
  CHECK_THAT(load_at(load, 1.5).weight_n, WithinRel(980.665, 1e-12));
  CHECK_THAT(load_at(load, 0.5).weight_slope_n_per_m, WithinRel(400.0, 1e-12));
}

TEST_CASE("an anchor to the side pulls with its upright part alone", "[loading]") {
  Band band = two_bands(line(1.0, 200.0));
  band.anchor_offset_m = 0.9;
  // 3-4-5: 1.2 m high, 0.9 m aside: 1.5 m of band, 100 N each, 4/5 of it upright.
  CHECK_THAT(band_at(band, 1.2).pull_n, WithinRel(2 * 80.0, 1e-12));
}

TEST_CASE("every anchoring pulls as hard as its stored energy grows", "[loading]") {
  Band band = two_bands(rubber_table(0.7));
  band.doubled = GENERATE(false, true);
  band.anchor_height_m = GENERATE(0.05, 2.6);
  band.anchor_offset_m = GENERATE(0.0, 0.3);
  band.wrap_length_m = 0.05;
  for (const double h : {0.4, 0.77, 1.31}) {
    CAPTURE(h, band.doubled, band.anchor_height_m, band.anchor_offset_m);
    CHECK_THAT(band_at(band, h).pull_n, WithinAbs(pull_from_energy(band, h), 1e-3));
    const double slope = (band_at(band, h + 1e-5).pull_n - band_at(band, h - 1e-5).pull_n) / 2e-5;
    CHECK_THAT(band_at(band, h).pull_slope_n_per_m, WithinAbs(slope, 1e-2));
  }
}

TEST_CASE("the mean of a band load is the work done over the way", "[loading]") {
  Band band = two_bands(rubber_table(0.7));
  band.anchor_offset_m = 0.2;
  const BarLoad load{.bar_kg = 60.0, .bands = {band}};
  constexpr int kSteps = 20000;
  double sum_n = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    sum_n += load_at(load, 0.45 + 0.7 * (i + 0.5) / kSteps).weight_n / kSteps;
  }
  CHECK_THAT(load_span(load, 0.45, 1.15).mean_weight_n, WithinRel(sum_n, 1e-7));
}

TEST_CASE("the covariance of a polynomial widens the tension by its length", "[loading]") {
  const BandTension tension{.polynomial_n = {50.0, 100.0},
                            .polynomial_covariance_n2 = {4.0, 0.0, 0.0, 9.0},
                            .rest_length_m = 1.0,
                            .tension_sigma_n = 1.0};
  // u = 0.4: variance 4 + 9 × 0.16 + 1.
  CHECK_THAT(tension_at(tension, 1.4).sigma_n, WithinRel(std::sqrt(4.0 + 1.44 + 1.0), 1e-12));
  BarLoad load{.bar_kg = 20.0, .bands = {two_bands(tension)}};
  CHECK_THAT(load_at(load, 1.4).weight_sigma_n, WithinRel(2 * std::sqrt(6.44), 1e-12));
}

TEST_CASE("a polynomial goes on along its tangent beyond the readings behind it", "[loading]") {
  // 100 u - 40 u² turns over at u = 1.25; known to u = 0.5, where it is 40 N and rises 60 N/m.
  const BandTension tension{
      .polynomial_n = {0.0, 100.0, -40.0}, .rest_length_m = 1.0, .known_to_m = 1.5};
  CHECK_THAT(tension_at(tension, 1.5).tension_n, WithinRel(40.0, 1e-12));
  CHECK_THAT(tension_at(tension, 2.5).tension_n, WithinRel(100.0, 1e-12));
  CHECK_THAT(tension_at(tension, 2.5).energy_j - tension_at(tension, 1.5).energy_j,
             WithinRel(70.0, 1e-12));
}

}  // namespace kinetics
