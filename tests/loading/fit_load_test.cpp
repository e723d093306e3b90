// The whole bar weighed at several heights: chain and band factors against made readings, and
// against NumPy's least squares.
#include "libkinetics/loading/fit_load.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/core/measured.h"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {
namespace {

BarLoad stated_load() {
  BarLoad load{.bar_kg = 20.0, .discs_kg = 80.0};
  load.chains.push_back({.name = "c",
                         .mass_kg_per_m = 4.0,
                         .free_length_m = 0.9,
                         .leader_length_m = 0.3,
                         .leader_kg_per_m = 0.1});
  load.bands.push_back({.name = "b",
                        .tension = {.polynomial_n = {0.0, 200.0, -20.0}, .rest_length_m = 0.6},
                        .mass_kg = 0.5});
  return load;
}

/// Kilograms on the scale, worked out here from the parts: chain and band pull times their factors.
double weighed_kg(double height_m, double straight_kg, double chains, double bands) {
  const double leader_m = std::min(height_m, 0.3);
  const double links_m = std::min(std::max(height_m - 0.3, 0.0), 0.9);
  const double u = std::max(height_m - 0.6, 0.0);
  const double pull_n = 2.0 * (200.0 * u - 20.0 * u * u);
  return straight_kg + chains * 2.0 * (4.0 * links_m + 0.1 * leader_m) + 0.5 +
         bands * pull_n / 9.80665;
}

std::vector<ScaleReading> made(double straight_kg, double chains, double bands) {
  std::vector<ScaleReading> readings;
  for (const double h : {0.3, 0.5, 0.7, 0.9, 1.1, 1.3}) {
    readings.push_back({h, weighed_kg(h, straight_kg, chains, bands)});
  }
  return readings;
}

}  // namespace

TEST_CASE("readings without error give back the factors behind them", "[loading][fit]") {
  const std::vector<ScaleReading> readings = made(101.5, 0.93, 1.12);
  const LoadFit fit = fit_load(stated_load(), readings, {.fit_straight = true});
  CHECK_THAT(fit.straight_kg.value, WithinRel(101.5, 1e-9));
  CHECK_THAT(fit.chains.value, WithinRel(0.93, 1e-9));
  CHECK_THAT(fit.bands.value, WithinRel(1.12, 1e-9));
  CHECK_THAT(fit.rms_residual_kg, WithinAbs(0.0, 1e-9));
  CHECK(fit.degrees_of_freedom == 3);
  for (const ScaleReading& reading : readings) {
    CHECK_THAT(load_at(fit.load, reading.bar_height_m).weight_n,
               WithinRel(reading.scale_kg * 9.80665, 1e-9));
  }
}

TEST_CASE("a tare is taken off and what is not asked for stays as stated", "[loading][fit]") {
  std::vector<ScaleReading> readings = made(100.0, 0.9, 1.0);
  for (ScaleReading& reading : readings) reading.scale_kg += 90.0;
  const LoadFit fit = fit_load(stated_load(), readings, {.tare_kg = 90.0, .fit_bands = false});
  CHECK_THAT(fit.chains.value, WithinRel(0.9, 1e-9));
  CHECK_FALSE(fit.bands.fitted);
  CHECK_FALSE(fit.straight_kg.fitted);
  CHECK(fit.load.bands[0].tension.polynomial_n == stated_load().bands[0].tension.polynomial_n);
}

TEST_CASE("factors and sigmas are NumPy's least squares", "[loading][fit]") {
  // numpy.linalg.lstsq over the two columns 2 (4 links + 0.1 leader) and pull / g; scatter over the
  // scale's 0.5 kg widens the sigmas.
  const LoadFit fit =
      fit_load(stated_load(), {{0.4, 101.4}, {0.7, 109.0}, {1.0, 123.2}, {1.3, 135.5}});
  CHECK_THAT(fit.chains.value, WithinRel(1.4273584772212338, 1e-9));
  CHECK_THAT(fit.bands.value, WithinRel(0.9296944565428136, 1e-9));
  CHECK_THAT(fit.chains.sigma, WithinRel(0.1986247204328585, 1e-9));
  CHECK_THAT(fit.bands.sigma, WithinRel(0.06262812837143164, 1e-9));
  CHECK_THAT(fit.residual_kg[1], WithinAbs(0.09263430286723207, 1e-9));
}

TEST_CASE("95 % intervals of the factors and of the fitted load hold the truth", "[loading][fit]") {
  std::mt19937 random(11);
  std::normal_distribution<double> noise(0.0, 0.5);
  constexpr int kRounds = 2000;
  int chains_held = 0;
  int load_held = 0;
  for (int i = 0; i < kRounds; ++i) {
    std::vector<ScaleReading> readings = made(100.0, 0.95, 1.1);
    for (ScaleReading& reading : readings) reading.scale_kg += noise(random);
    const LoadFit fit = fit_load(stated_load(), readings);
    if (std::abs(fit.chains.value - 0.95) <= kNormal95 * fit.chains.sigma) ++chains_held;
    const LoadAt at = load_at(fit.load, 1.0);
    const double truth_n = weighed_kg(1.0, 100.0, 0.95, 1.1) * 9.80665;
    if (std::abs(at.weight_n - truth_n) <= kNormal95 * at.weight_sigma_n) ++load_held;
  }
  CAPTURE(chains_held, load_held);
  // Larger scatter than stated widens a fit, smaller does not narrow it: never below 93.7 % (99 %,
  // binomial). Chain and band errors pull against each other, so the load is held more often.
  CHECK(chains_held >= 0.937 * kRounds);
  CHECK(load_held >= 0.937 * kRounds);
}

TEST_CASE("a table's tensions are scaled like a polynomial's", "[loading][fit]") {
  BarLoad load{.bar_kg = 100.0};
  load.bands.push_back({.name = "t",
                        .tension = {.length_m_tension_n = {{0.5, 0.0}, {1.0, 80.0}, {1.5, 130.0}},
                                    .rest_length_m = 0.5}});
  // Two bands at 1.0 m pull 160 N as stated, 200 N in truth.
  const LoadFit fit = fit_load(load, {{1.0, 100.0 + 200.0 / 9.80665}});
  CHECK_THAT(fit.bands.value, WithinRel(1.25, 1e-9));
  CHECK_THAT(load_at(fit.load, 1.5).weight_n, WithinRel(980.665 + 325.0, 1e-9));
  CHECK_THAT(load_at(fit.load, 1.0).weight_sigma_n, WithinRel(0.5 * 9.80665, 1e-9));
}

TEST_CASE("readings that cannot tell the factors apart are refused", "[loading][fit][bad-input]") {
  BarLoad load = stated_load();
  load.bands.clear();
  // All chain hangs at both heights: it and the bar cannot be told apart.
  const std::vector<ScaleReading> high = {{1.3, 107.0}, {1.5, 107.0}};
  CHECK_THROWS_WITH(fit_load(load, high, {.fit_straight = true}), Contains("apart"));
  CHECK_NOTHROW(fit_load(load, high));
  // No chain is off the floor.
  load.chains[0].leader_kg_per_m = 0.0;
  CHECK_THROWS_AS(fit_load(load, {{0.1, 100.0}, {0.2, 100.0}}), Error);
}

TEST_CASE("vague and scattered readings are told", "[loading][fit]") {
  BarLoad load = stated_load();
  load.bands.clear();
  const LoadFit vague = fit_load(load, {{0.4, 100.9}}, {.reading_sigma_kg = 0.5});
  REQUIRE(vague.notes.size() == 1);
  CHECK_THAT(vague.notes[0].text, Contains("hardly tell"));

  const std::vector<ScaleReading> odd = {{0.6, 102.5}, {0.9, 104.9}, {1.2, 127.3}, {1.0, 105.7}};
  const LoadFit odd_size = fit_load(load, {{0.6, 107.5}, {1.0, 117.1}});
  REQUIRE(odd_size.notes.size() == 1);
  CHECK_THAT(odd_size.notes[0].text, Contains("times what is stated") && Contains("size"));

  const LoadFit scattered = fit_load(load, odd);
  CHECK(scattered.worst == 2);
  REQUIRE_FALSE(scattered.notes.empty());
  CHECK_THAT(scattered.notes.back().text, Contains("reading 3"));
  CHECK_THAT(describe(scattered, odd), Contains("1.20 m: read 127.3 kg") && Contains("chains"));
}

TEST_CASE("scale readings that cannot be are refused", "[loading][fit][bad-input]") {
  CHECK_THROWS_WITH(fit_load(stated_load(), {{0.5, 100.0}, {0.9, std::nan("")}}),
                    Contains("scale reading 2"));
  CHECK_THROWS_WITH(fit_load(stated_load(), {{120.0, 100.0}}), Contains("120 m"));
  CHECK_THROWS_WITH(fit_load(stated_load(), {{0.5, 100.0}}), Contains("too few"));
  CHECK_THROWS_WITH(fit_load({.bar_kg = 20.0}, {{0.5, 100.0}}), Contains("nothing to fit"));
  CHECK_THROWS_WITH(fit_load(stated_load(), {{0.5, 60.0}, {0.9, 50.0}}),
                    Contains("scale readings"));
}

}  // namespace kinetics
