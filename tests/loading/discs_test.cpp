// Plate arithmetic against trying out every way to load the bar, and against sums done by hand.
//
// Discs and collars: IWF technical rules (25, 20, 15, 10, 5, 2.5, 2, 1.5, 1, 0.5 kg; collars 2.5 kg
// each). Fewest discs, heaviest inside: common practice, no source.
#include <algorithm>
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/plan_discs.h"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {
namespace {

Mass kg(double value) {
  return Mass::kilograms(value);
}
Mass lb(double value) {
  return Mass::pounds(value);
}

std::vector<DiscPairs> meet_discs() {
  return {
      {kg(25), 6}, {kg(20), 1}, {kg(15), 1}, {kg(10), 1}, {kg(5), 1}, {kg(2.5), 1}, {kg(1.25), 1}};
}

/// Nearest totals at most and at least the wanted one, by trying out everything.
struct Tried {
  double below = -1.0;
  double above = 1e9;
  int below_discs = 0;
  int above_discs = 0;
};

void try_all(const std::vector<DiscPairs>& owned,
             std::size_t kind,
             double total_kg,
             int discs,
             double wanted_kg,
             Tried& tried) {
  if (kind == owned.size()) {
    const double same = 1e-7;
    if (total_kg <= wanted_kg + same) {
      if (total_kg > tried.below + same) tried = {total_kg, tried.above, discs, tried.above_discs};
      if (std::abs(total_kg - tried.below) <= same) {
        tried.below_discs = std::min(tried.below_discs, discs);
      }
    }
    if (total_kg >= wanted_kg - same) {
      if (total_kg < tried.above - same) tried = {tried.below, total_kg, tried.below_discs, discs};
      if (std::abs(total_kg - tried.above) <= same) {
        tried.above_discs = std::min(tried.above_discs, discs);
      }
    }
    return;
  }
  for (int n = 0; n <= owned[kind].pairs; ++n) {
    try_all(
        owned, kind + 1, total_kg + 2.0 * n * owned[kind].mass.kg(), discs + n, wanted_kg, tried);
  }
}

int discs_in(const DiscStack& side) {
  int sum = 0;
  for (const Disc& disc : side) sum += disc.count;
  return sum;
}

/// What holds of every way to load a bar: it weighs what is said, heaviest discs inside, and no
/// more pairs than the club has.
void check_choice(const DiscChoice& choice, double empty_kg, const std::vector<DiscPairs>& owned) {
  CHECK_THAT(empty_kg + 2.0 * stack_kg(choice.side), WithinAbs(choice.total_kg, 1e-9));
  for (std::size_t i = 0; i < choice.side.size(); ++i) {
    const Disc& disc = choice.side[i];
    CHECK(disc.count >= 1);
    if (i > 0) CHECK(disc.mass.kg() < choice.side[i - 1].mass.kg());
    int pairs = 0;
    for (const DiscPairs& kind : owned) pairs += kind.mass == disc.mass ? kind.pairs : 0;
    CHECK(disc.count <= pairs);
  }
}

}  // namespace

TEST_CASE("known totals are hung as by hand", "[loading][discs]") {
  const DiscPlan meet = plan_discs(kg(182.5), 25.0, meet_discs());
  REQUIRE(meet.exact);
  CHECK(describe(meet.nearest().side) == "3 × 25 kg + 2.5 kg + 1.25 kg");
  CHECK_THAT(meet.nearest().total_kg, WithinRel(182.5, 1e-14));

  const DiscPlan bare = plan_discs(kg(182.5), 20.0, meet_discs());
  CHECK(describe(bare.nearest().side) == "3 × 25 kg + 5 kg + 1.25 kg");

  const DiscPlan pounds = plan_discs(
      lb(405), lb(45).kg(), {{lb(45), 6}, {lb(35), 2}, {lb(25), 2}, {lb(10), 2}, {lb(2.5), 2}});
  REQUIRE(pounds.exact);
  CHECK(describe(pounds.nearest().side) == "4 × 45 lb");
  CHECK_THAT(pounds.nearest().total_kg, WithinRel(183.70490985, 1e-14));
}

TEST_CASE("a total that cannot be hung has the nearest below and above", "[loading][discs]") {
  const DiscPlan plan = plan_discs(kg(101.0), 20.0, {{kg(25), 2}, {kg(10), 2}, {kg(2.5), 1}});
  CHECK_FALSE(plan.exact);
  REQUIRE(plan.below);
  REQUIRE(plan.above);
  CHECK_THAT(plan.below->total_kg, WithinAbs(95.0, 1e-12));
  CHECK_THAT(plan.above->total_kg, WithinAbs(110.0, 1e-12));
  CHECK_THAT(plan.nearest().total_kg, WithinAbs(95.0, 1e-12));
}

TEST_CASE("less than the bar and more than all discs are said so", "[loading][discs]") {
  const DiscPlan light = plan_discs(kg(15), 20.0, meet_discs());
  CHECK_FALSE(light.below);
  REQUIRE(light.above);
  CHECK(light.above->side.empty());
  CHECK(describe(light.above->side) == "no discs");

  const DiscPlan heavy = plan_discs(kg(600), 20.0, meet_discs());
  CHECK_FALSE(heavy.above);
  REQUIRE(heavy.below);
  CHECK_THAT(heavy.below->total_kg, WithinAbs(20.0 + 2 * 203.75, 1e-9));
}

TEST_CASE("any inventory in kg and lb is planned as trying everything would", "[loading][discs]") {
  std::mt19937 random(20251125);
  const std::vector<Mass> masses = {kg(25),
                                    kg(20),
                                    kg(15),
                                    kg(10),
                                    kg(5),
                                    kg(2.5),
                                    kg(1.25),
                                    kg(24.87),
                                    lb(45),
                                    lb(35),
                                    lb(25),
                                    lb(10),
                                    lb(5),
                                    lb(2.5)};
  for (int round = 0; round < 400; ++round) {
    std::vector<DiscPairs> owned;
    owned.reserve(6);
    for (int i = 0; i < 6; ++i) {
      owned.push_back({masses[random() % masses.size()], static_cast<int>(random() % 4)});
    }
    const bool pounds = random() % 2 == 0;
    const double value = static_cast<double>(random() % 700) / 2.0;
    const Mass wanted = pounds ? lb(value) : kg(value);
    const double empty_kg = random() % 2 == 0 ? 20.0 : lb(45).kg() + 5.0;
    CAPTURE(round, value, pounds, empty_kg);

    Tried tried;
    try_all(owned, 0, empty_kg, 0, wanted.kg(), tried);
    const DiscPlan plan = plan_discs(wanted, empty_kg, owned);
    REQUIRE(plan.below.has_value() == (tried.below >= 0.0));
    REQUIRE(plan.above.has_value() == (tried.above < 1e9));
    if (plan.below) {
      CHECK_THAT(plan.below->total_kg, WithinAbs(tried.below, 2e-6));
      CHECK(discs_in(plan.below->side) == tried.below_discs);
      check_choice(*plan.below, empty_kg, owned);
    }
    if (plan.above) {
      CHECK_THAT(plan.above->total_kg, WithinAbs(tried.above, 2e-6));
      CHECK(discs_in(plan.above->side) == tried.above_discs);
      check_choice(*plan.above, empty_kg, owned);
    }
  }
}

TEST_CASE("as few discs as can be, and of those the heaviest", "[loading][discs]") {
  const DiscPlan plan =
      plan_discs(kg(80), 20.0, {{kg(10), 3}, {kg(15), 2}, {kg(20), 1}, {kg(5), 2}});
  // 30 kg a side: 2 × 15 is two discs, 20 + 10 as well and starts heavier.
  CHECK(describe(plan.nearest().side) == "20 kg + 10 kg");
}

TEST_CASE("a large inventory in two units is planned", "[loading][discs]") {
  std::vector<DiscPairs> owned;
  for (const double m : {25.0, 20.0, 15.0, 10.0, 5.0, 2.5, 2.0, 1.5, 1.25, 1.0, 0.5, 0.25}) {
    owned.push_back({kg(m), 10});
  }
  for (const double m : {45.0, 35.0, 25.0, 10.0, 5.0, 2.5, 1.25}) owned.push_back({lb(m), 10});
  const DiscPlan plan = plan_discs(lb(801), 20.0, owned);
  REQUIRE(plan.below);
  CHECK_THAT(plan.below->total_kg, WithinAbs(lb(801).kg(), 0.02));
  CHECK(plan.below->total_kg <= lb(801).kg() + 1e-6);
}

TEST_CASE("competition discs leave a load known to a few hundredths of a kilogram",
          "[loading][discs]") {
  // IPF: discs within 0.25 % of their mass. Twelve of 25 kg, each off by at most 62.5 g with all
  // errors as likely: 62.5 g / √3 × √12 = 125 g.
  CHECK_THAT(discs_sigma_kg({{.mass = kg(25), .count = 6}}, 0.0025), WithinRel(0.125, 1e-12));
  CHECK(discs_sigma_kg({}, 0.0025) == 0.0);
}

TEST_CASE("discs and totals that cannot be are refused by name", "[loading][discs]") {
  CHECK_THROWS_WITH(plan_discs(kg(std::nan("")), 20.0, {}), Contains("wanted load"));
  CHECK_THROWS_WITH(plan_discs(kg(-5), 20.0, {}), Contains("-5 kg"));
  CHECK_THROWS_WITH(plan_discs(kg(100), -20.0, {}), Contains("bar and collars"));
  CHECK_THROWS_WITH(plan_discs(kg(100), 20.0, {{kg(25), 2}, {kg(0), 1}}),
                    Contains("line 2") && Contains("stamped"));
  CHECK_THROWS_WITH(plan_discs(kg(100), 20.0, {{kg(25), -1}}), Contains("-1 pairs of 25 kg"));
  CHECK_THROWS_AS(check_discs({{.mass = kg(25), .count = 0}}), Error);
}

}  // namespace kinetics
