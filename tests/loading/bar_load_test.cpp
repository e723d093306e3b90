// The whole load: straight weight, the trade's chain rule, means, and uncertain heights.
//
// 9.80665 m/s² is exact by definition (3rd CGPM, 1901); 0.45359237 kg/lb by the international yard
// and pound agreement, 1959.
#include "libkinetics/loading/bar_load.h"

#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/loading/check_load.h"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {

TEST_CASE("pounds are 0.45359237 kg exactly", "[loading]") {
  CHECK_THAT(Mass::pounds(45).kg(), WithinRel(20.41165665, 1e-15));
  CHECK_THAT(Mass::pounds(405).kg(), WithinRel(183.70490985, 1e-15));
  CHECK_THAT(Mass::kilograms(20).lb(), WithinRel(44.0924524370, 1e-11));
  CHECK_THAT(Mass::kilograms(100).lb(), WithinRel(220.462262185, 1e-11));
  CHECK(Mass::pounds(45).lb() == 45.0);
}

TEST_CASE("a straight bar weighs the same at every height", "[loading]") {
  const BarLoad load{.bar_kg = 20.0, .discs_kg = 75.0, .collars_kg = 5.0};
  for (const double h : {0.0, 0.4, 1.3}) {
    CHECK_THAT(load_at(load, h).weight_n, WithinRel(980.665, 1e-12));
    CHECK_THAT(load_at(load, h).moving_kg, WithinRel(100.0, 1e-12));
    CHECK(load_at(load, h).weight_slope_n_per_m == 0.0);
    CHECK(load_at(load, h).weight_sigma_n == 0.0);
  }
  const LoadSpan span = load_span(load, 0.4, 1.3);
  CHECK_THAT(span.straight_kg, WithinRel(100.0, 1e-12));
  CHECK_THAT(load_span(load, 0.7, 0.7).straight_kg, WithinRel(100.0, 1e-12));
}

TEST_CASE("700 at the bottom and 300 of chain lifted clear are 1000 at the top", "[loading]") {
  // Common practice, no source. In pounds; all of the chain is on the floor at the bottom and
  // hangs at the top, 0.6 m higher.
  const double lb = 0.45359237;
  BarLoad load{.bar_kg = 45.0 * lb, .discs_kg = 655.0 * lb};
  load.chains.push_back({.name = "four strands",
                         .mass_kg_per_m = 300.0 * lb / 4.0 / 0.6,
                         .free_length_m = 0.6,
                         .leader_length_m = 0.5,
                         .strands = 4});
  const LoadSpan span = load_span(load, 0.5, 1.1);
  CHECK_THAT(span.bottom.weight_n, WithinRel(3113.75513, 1e-8));
  CHECK_THAT(span.top.weight_n, WithinRel(4448.22162, 1e-8));
  CHECK_THAT(span.straight_kg, WithinRel(850.0 * lb, 1e-8));
  CHECK_THAT(load_at(load, 0.8).weight_n, WithinRel(span.mean_weight_n, 1e-12));
  CHECK_THAT(span.mean_weight_n * 0.6, WithinRel(2268.59302, 1e-8));
}

TEST_CASE("an uncertain height is an uncertain load where the load changes with height",
          "[loading]") {
  BarLoad load{.bar_kg = 100.0};
  load.chains.push_back({.name = "chain", .mass_kg_per_m = 3.8, .free_length_m = 0.9});
  const LoadAt low = with_height_sigma(load_at(load, 0.5), 0.01);
  CHECK_THAT(low.weight_sigma_n, WithinRel(7.6 * 9.80665 * 0.01, 1e-12));
  CHECK(with_height_sigma(load_at(load, 1.5), 0.01).weight_sigma_n == 0.0);
}

TEST_CASE("half of a band's own weight hangs on the bar, a third of its mass moves with it",
          "[loading]") {
  // Points of an evenly stretched band move by their share of its length: the integral of s² over
  // its mass is a third, that of s a half.
  BarLoad load{.bar_kg = 100.0};
  load.bands.push_back({.name = "light",
                        .tension = {.polynomial_n = {0.0, 200.0}, .rest_length_m = 1.0},
                        .mass_kg = 0.6,
                        .count = 2});
  const LoadAt slack = load_at(load, 0.8);
  CHECK_THAT(slack.weight_n, WithinRel(100.6 * 9.80665, 1e-12));
  CHECK_THAT(slack.moving_kg, WithinRel(100.4, 1e-12));
  const LoadAt tight = load_at(load, 1.3);
  CHECK_THAT(tight.weight_n, WithinRel(100.6 * 9.80665 + 2 * 60.0, 1e-12));
}

TEST_CASE("local gravity weighs everything but rubber", "[loading]") {
  BarLoad load{.bar_kg = 100.0, .gravity_mps2 = 9.78};
  load.bands.push_back(
      {.name = "b", .tension = {.polynomial_n = {0.0, 100.0}, .rest_length_m = 0.5}, .count = 1});
  CHECK_THAT(load_at(load, 1.5).weight_n, WithinRel(1078.0, 1e-12));
}

TEST_CASE("whatever hangs, weight is how potential energy grows and never falls with height",
          "[loading]") {
  std::mt19937 random(4);
  const auto between = [&](double from, double to) {
    return std::uniform_real_distribution<double>(from, to)(random);
  };
  for (int round = 0; round < 300; ++round) {
    BarLoad load{.bar_kg = between(15.0, 30.0), .discs_kg = between(0.0, 200.0)};
    load.chains.push_back({.name = "c",
                           .mass_kg_per_m = between(0.5, 8.0),
                           .free_length_m = between(0.2, 2.0),
                           .doubled = round % 2 == 0,
                           .leader_length_m = between(0.0, 0.5),
                           .leader_kg_per_m = between(0.0, 0.3),
                           .attachment_below_bar_m = between(-0.1, 0.3)});
    load.bands.push_back({.name = "b",
                          .tension = {.polynomial_n = {0.0, between(50.0, 400.0), -10.0},
                                      .rest_length_m = between(0.3, 1.0),
                                      .known_to_m = 2.0},
                          .anchor_height_m = round % 3 == 0 ? 2.5 : 0.1,
                          .anchor_offset_m = round % 5 == 0 ? 0.3 : 0.0,
                          .doubled = round % 4 == 0,
                          .mass_kg = 0.4});
    REQUIRE_NOTHROW(check_load(load));
    const double h = between(0.2, 1.8);
    CAPTURE(round, h);
    const double dh = 1e-6;
    const double grows_n =
        (potential_energy_j(load, h + dh) - potential_energy_j(load, h - dh)) / (2.0 * dh);
    CHECK_THAT(load_at(load, h).weight_n, WithinAbs(grows_n, 1e-2));
    CHECK(load_at(load, h + 0.1).weight_n >= load_at(load, h).weight_n - 1e-9);
  }
}

TEST_CASE("the mean's uncertainty does not shrink over a lift", "[loading]") {
  // One and the same error all the way up: its mean is the error of the mean hanging mass.
  Chain chain{.name = "c", .mass_kg_per_m = 4.0, .mass_sigma_kg_per_m = 0.1, .free_length_m = 2.0};
  const BarLoad load{.bar_kg = 60.0, .chains = {chain}};
  const LoadSpan span = load_span(load, 0.4, 1.0);
  CHECK_THAT(span.mean_weight_sigma_n, WithinRel(2 * 0.1 * 0.7 * 9.80665, 1e-9));
}

}  // namespace kinetics
