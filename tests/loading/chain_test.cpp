// Chain piling on the floor, against cases worked by hand and sums over single links.
//
// Hand-worked: two single strands of 3.8 kg/m chain hanging 0.9 m from a 100 kg bar.
#include "libkinetics/loading/chain.h"

#include <algorithm>

#include <catch2/catch.hpp>

#include "libkinetics/loading/bar_load.h"
#include "tests/loading/steps.h"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {
namespace {

Chain two_strands(double free_length_m) {
  return {.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = free_length_m};
}

/// Every link on its own: a link of pitch p hangs with its lower end p times its number below the
/// upper end of the chain, or lies on the floor. Knows nothing of lengths being cut.
struct LinkByLink {
  double hanging_kg = 0.0;
  double height_kg_m = 0.0;  ///< mass times height of each link's middle, added up
};

LinkByLink count_links(const Chain& chain, double bar_height_m, int links) {
  const double end_m = bar_height_m - chain.attachment_below_bar_m;
  LinkByLink sum;
  const auto hang = [&](double from_m, double length_m, double kg_per_m) {
    const double pitch_m = length_m / links;
    for (int i = 0; i < links; ++i) {
      const double middle_m = end_m - from_m - (i + 0.5) * pitch_m;
      if (middle_m <= 0.0) continue;
      sum.hanging_kg += kg_per_m * pitch_m * chain.strands;
      sum.height_kg_m += kg_per_m * pitch_m * chain.strands * middle_m;
    }
  };
  hang(0.0, chain.leader_length_m, chain.leader_kg_per_m);
  hang(chain.leader_length_m, chain.free_length_m, chain.mass_kg_per_m * (chain.doubled ? 2 : 1));
  return sum;
}

}  // namespace

TEST_CASE("chain weighs what hangs, and no more once all of it is off the floor", "[loading]") {
  BarLoad load{.bar_kg = 20.0, .discs_kg = 80.0, .chains = {two_strands(0.9)}};
  const auto [height_m, kg] = GENERATE(table<double, double>({{-0.2, 100.0},
                                                              {0.0, 100.0},
                                                              {0.45, 103.42},
                                                              {0.75, 105.70},
                                                              {0.9, 106.84},
                                                              {1.05, 106.84},
                                                              {2.0, 106.84}}));
  CAPTURE(height_m);
  CHECK_THAT(load_at(load, height_m).weight_n, WithinRel(kg * 9.80665, 1e-12));
  CHECK_THAT(load_at(load, height_m).moving_kg, WithinRel(kg, 1e-12));
}

TEST_CASE("the mean over a lift counts the height where the last link left", "[loading]") {
  // By hand: 3.42 to 6.84 kg over 0.45 m, then 6.84 kg over 0.15 m: mean 5.5575 kg.
  const BarLoad load{.bar_kg = 100.0, .chains = {two_strands(0.9)}};
  const LoadSpan span = load_span(load, 0.45, 1.05);
  CHECK_THAT(span.straight_kg, WithinRel(105.5575, 1e-12));
  CHECK_THAT(span.mean_weight_n, WithinRel(105.5575 * 9.80665, 1e-12));
  CHECK_THAT(span.mean_moving_kg, WithinRel(105.5575, 1e-12));
}

TEST_CASE("a chain longer than the lift is high always leaves links on the floor", "[loading]") {
  const BarLoad load{.bar_kg = 100.0, .chains = {two_strands(1.6)}};
  const LoadAt top = load_at(load, 1.05);
  CHECK_THAT(top.weight_n, WithinRel(107.98 * 9.80665, 1e-12));
  CHECK_THAT(top.picked_up_kg_per_m, WithinRel(7.6, 1e-12));
  CHECK_THAT(top.weight_slope_n_per_m, WithinRel(7.6 * 9.80665, 1e-12));
}

TEST_CASE("a chain that hangs free at the bottom already only adds its weight", "[loading]") {
  const BarLoad load{.bar_kg = 100.0, .chains = {two_strands(0.4)}};
  const LoadSpan span = load_span(load, 0.45, 1.05);
  CHECK_THAT(span.bottom.weight_n, WithinRel(103.04 * 9.80665, 1e-12));
  CHECK_THAT(span.mean_weight_n, WithinRel(103.04 * 9.80665, 1e-12));
  CHECK(span.bottom.picked_up_kg_per_m == 0.0);
  CHECK(span.bottom.weight_slope_n_per_m == 0.0);
}

TEST_CASE("a leader too long to lift any link adds nothing but itself", "[loading]") {
  Chain chain = two_strands(1.0);
  chain.leader_length_m = 1.2;
  chain.leader_kg_per_m = 0.05;
  const BarLoad load{.bar_kg = 100.0, .chains = {chain}};
  // Two leaders, 1.0 m of each off the floor.
  CHECK_THAT(load_at(load, 1.0).weight_n, WithinRel(100.1 * 9.80665, 1e-12));
  // At 1.5 m the whole leader and 0.3 m of chain hang: 0.12 + 2.28 kg.
  CHECK_THAT(load_at(load, 1.5).weight_n, WithinRel(102.4 * 9.80665, 1e-12));
}

TEST_CASE("a doubled chain weighs twice a metre; a low attachment starts later", "[loading]") {
  Chain chain = two_strands(0.9);
  chain.doubled = true;
  chain.attachment_below_bar_m = 0.25;
  const BarLoad load{.bar_kg = 100.0, .chains = {chain}};
  CHECK_THAT(load_at(load, 0.75).weight_n, WithinRel((100.0 + 0.5 * 15.2) * 9.80665, 1e-12));
  CHECK_THAT(load_at(load, 3.0).weight_n, WithinRel((100.0 + 0.9 * 15.2) * 9.80665, 1e-12));
}

TEST_CASE("work against the load is the potential energy every single link gained", "[loading]") {
  Chain chain = two_strands(0.8);
  chain.leader_length_m = 0.2;
  chain.leader_kg_per_m = 0.3;
  chain.attachment_below_bar_m = 0.1;
  chain.doubled = GENERATE(false, true);
  chain.strands = GENERATE(1, 4);
  const BarLoad load{.bar_kg = 60.0, .chains = {chain}};
  const auto [bottom_m, top_m] =
      GENERATE(table<double, double>({{0.05, 0.25}, {0.2, 0.9}, {0.45, 1.35}, {1.2, 1.7}}));
  CAPTURE(bottom_m, top_m, chain.doubled, chain.strands);

  constexpr int kLinks = 40000;  // a link's cut at the floor is then 1e-9 of the work
  const double links_j =
      9.80665 * (count_links(chain, top_m, kLinks).height_kg_m -
                 count_links(chain, bottom_m, kLinks).height_kg_m + 60.0 * (top_m - bottom_m));
  const LoadSpan span = load_span(load, bottom_m, top_m);
  CHECK_THAT(span.mean_weight_n * (top_m - bottom_m), WithinRel(links_j, 1e-6));

  // And the same by adding up weight over small steps of height.
  constexpr int kSteps = 20000;
  double work_j = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double h = bottom_m + (top_m - bottom_m) * (i + 0.5) / kSteps;
    work_j += load_at(load, h).weight_n * (top_m - bottom_m) / kSteps;
  }
  CHECK_THAT(work_j, WithinRel(links_j, 1e-6));
}

TEST_CASE("real links of a pitch hang within one link of the smooth count", "[loading]") {
  // 36 mm pitch (DIN 766, 13 mm): a link is counted in part where a real one hangs or lies.
  const Chain chain = two_strands(0.9);
  for (const double h : steps(0.0, 0.013, 93)) {
    CAPTURE(h);
    const double links_kg = count_links(chain, h, 25).hanging_kg;
    CHECK_THAT(chain_at(chain, h).hanging_kg, WithinAbs(links_kg, 2 * 3.8 * 0.036));
  }
}

TEST_CASE("drawing links up at speed takes the momentum they gain", "[loading]") {
  // Variable-mass momentum, worked by hand: (100 + 7.6 × 0.75)(g + 0.5) + 7.6 × 1² at 0.75 m.
  const BarLoad load{.bar_kg = 100.0, .chains = {two_strands(2.0)}};
  const LoadAt at = load_at(load, 0.75);
  const double speed_mps = 1.0;
  const double accel_mps2 = 0.5;
  CHECK_THAT(push_n(at, speed_mps, accel_mps2), WithinRel(1097.012905, 1e-9));
  // On the way down the floor stops the links: by hand 1089.412905 N.
  CHECK_THAT(push_n(at, -speed_mps, accel_mps2), WithinRel(1089.412905, 1e-9));

  // The same from momentum itself: d/dt of (moving mass × speed), with nothing assumed of the rest.
  const double dt = 1e-6;
  const auto momentum = [&](double t) {
    const double h = 0.75 + speed_mps * t + accel_mps2 * t * t / 2.0;
    return load_at(load, h).moving_kg * (speed_mps + accel_mps2 * t);
  };
  const double force_n = at.weight_n + (momentum(dt) - momentum(-dt)) / (2.0 * dt);
  CHECK_THAT(force_n, WithinRel(1097.012905, 1e-7));
}

TEST_CASE("the uncertainty of a chain's mass grows with what hangs", "[loading]") {
  Chain chain = two_strands(0.9);
  chain.mass_sigma_kg_per_m = 0.1;
  BarLoad load{.bar_kg = 100.0, .chains = {chain}};
  CHECK(load_at(load, 0.0).weight_sigma_n == 0.0);
  CHECK_THAT(load_at(load, 0.5).weight_sigma_n, WithinRel(2 * 0.1 * 0.5 * 9.80665, 1e-12));
  load.straight_sigma_kg = 0.075;  // 3-4-5 with the 0.1 kg of chain
  CHECK_THAT(load_at(load, 0.5).weight_sigma_n, WithinRel(0.125 * 9.80665, 1e-12));
}

}  // namespace kinetics
