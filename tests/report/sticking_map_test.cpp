// The sticking map is well-formed XML (judged by Python's expat), shows every rise, and its words
// follow Welch's comparison of two means.
//
// Welch by hand: lows 30, 31, 32 cm against 35, 36, 37, 38 cm: means 31 and 36.5, variances of the
// means 1/3 and 5/12, 4.96 degrees of freedom, t = 2.577 (scipy.stats.t.ppf(0.975, 4.959)).
#include "libkinetics/report/sticking_map.h"

#include <cmath>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "libkinetics/report/sticking_place.h"
#include "tests/media/made_clip.h"
#include "tests/support/lifts.h"
#include "tests/support/svg.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using kinetics_test::evaluated;

namespace {

MapRise rise_with(double low_cm, double sigma_cm = 0.1) {
  MapRise out{.curve = {{0.0, 0.02}, {0.15, 0.5}, {0.01 * low_cm, 0.3}, {0.6, 0.02}},
              .rom_m = 0.6,
              .sticking = MapRise::Sticking{0.15, 0.01 * low_cm, 0.01 * sigma_cm}};
  return out;
}

MapGroup group(const std::string& name, const std::vector<double>& lows_cm) {
  MapGroup out{.name = name, .detail = "142 kg", .rises = {}};
  for (const double low : lows_cm) out.rises.push_back(rise_with(low));
  return out;
}

MapRise without() {
  return {.curve = {{0.0, 0.02}, {0.3, 0.6}, {0.6, 0.02}}, .rom_m = 0.6};
}

}  // namespace

TEST_CASE("a shift of the slowest point is Welch's difference of means", "[report]") {
  const auto shift =
      shift_between(group("A", {30.0, 31.0, 32.0}), group("B", {35.0, 36.0, 37.0, 38.0}));
  REQUIRE(shift);
  CHECK_THAT(shift->shift_m, WithinAbs(0.055, 1e-9));
  CHECK_THAT(shift->half_width_m, WithinAbs(0.01 * 2.577 * std::sqrt(0.75), 3e-4));
  CHECK(shift->clear());
  CHECK_FALSE(shift_between(group("A", {30.0}), group("B", {35.0, 36.0})));
}

TEST_CASE("reps that agree by chance are no surer than their own measurement", "[report]") {
  MapGroup a{.name = "A", .detail = "", .rises = {rise_with(30.0, 3.0), rise_with(30.0, 3.0)}};
  MapGroup b{.name = "B", .detail = "", .rises = {rise_with(32.0, 3.0), rise_with(32.0, 3.0)}};
  const auto shift = shift_between(a, b);
  REQUIRE(shift);
  CHECK_FALSE(shift->clear());
}

TEST_CASE("the map shows every rise and says how the slowest point moves", "[report]") {
  StickingMap map{.lifter = "Ada <Example>", .lift = "box squat", .groups = {}};
  map.groups.push_back(group("straight bar", {30.0, 31.0, 32.0}));
  map.groups.push_back(group("safety bar", {35.0, 36.0, 37.0, 38.0}));
  map.groups.push_back(group("33 cm box", {30.5, 31.5, 32.5}));
  map.groups[2].rises.push_back(without());
  map.groups.push_back({.name = "cambered bar", .detail = "", .rises = {without(), without()}});
  const std::string svg = to_svg(map);
  CHECK(evaluated(svg, "len(of('line', 'way'))") == "13\n");
  CHECK(evaluated(svg, "len(of('polygon', 'low'))") == "10\n");
  CHECK_THAT(svg,
             Contains("B: slowest 36.5 ± 2.1 cm up, 61 % of the range: 5.5 ± 2.2 cm higher") &&
                 Contains("than A."));
  CHECK_THAT(svg, Contains("C: slowest 31.5 ± 2.5 cm up, 52 % of the range: no clear change"));
  CHECK_THAT(svg, Contains("sticks in 3 of 4") && Contains("D: no sticking region."));
  CHECK(evaluated(svg, "of('text', 'title')[0].text") == "Ada <Example>: box squat\n");
  CHECK_THAT(svg, !Contains("nan") && !Contains("href") && !Contains("<script"));
}

TEST_CASE("an empty map is well-formed", "[report]") {
  CHECK(evaluated(to_svg(StickingMap{.lifter = "A", .lift = "B", .groups = {}}), "root.tag") ==
        "{http://www.w3.org/2000/svg}svg\n");
}

TEST_CASE("a rep's rise on the map is its curve from bottom to top", "[report]") {
  kinetics_test::Lift lift(0.6);
  lift.rest(1.0).move(-0.6, 1.5).rest(0.8).rep(0.6, 1.6, kinetics_test::Shape::kTwoHumps).rest(1.0);
  const Motion motion = estimate_motion(kinetics_test::filmed(lift, {.sigma_m = 0.0002}));
  const SetTable table = find_reps(motion);
  REQUIRE(table.reps.size() == 1);
  const auto rise = map_rise(motion, table.reps.front());
  REQUIRE(rise);
  REQUIRE(rise->sticking);
  CHECK_THAT(rise->sticking->low_m, WithinAbs(0.3, 0.01));
  CHECK_THAT(rise->curve.back().height_m, WithinAbs(0.6, 0.01));
  Rep hidden = table.reps.front();
  hidden.rom_m = Reason::kDiscHidden;
  CHECK_FALSE(map_rise(motion, hidden));
}
