// Stored sets find their place on a map by what was lifted with what; the means beside them follow
// Student's t.
//
// By hand: lows at 30, 31, 32 cm of rises of 60 cm: mean 31 cm, 51.7 %; half of the 95 % interval
// t(2) · 1 cm / √3 = 4.303 · 0.577 cm = 2.48 cm (scipy.stats.t.ppf(0.975, 2)).
#include "libkinetics/report/sticking_sets.h"

#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/report/sticking_place.h"
#include "libkinetics/report/sticking_table.h"
#include "libkinetics/report/text.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;

namespace {

MapRise rise_with(double low_cm, double sigma_cm = 0.1, double rom_m = 0.6) {
  return {.curve = {{0.0, 0.02}, {0.15, 0.5}, {0.01 * low_cm, 0.3}, {rom_m, 0.02}},
          .rom_m = rom_m,
          .sticking = MapRise::Sticking{0.15, 0.01 * low_cm, 0.01 * sigma_cm}};
}

MappedSet set_of(const std::string& lifter,
                 const std::string& lift,
                 const std::string& gear,
                 double load_kg,
                 const std::vector<double>& lows_cm) {
  MappedSet out{.lifter = lifter, .lift = lift, .gear = gear, .load_kg = load_kg, .rises = {}};
  for (const double low : lows_cm) out.rises.push_back(rise_with(low));
  return out;
}

Session session_of_two() {
  kinetics_test::Lift lift(0.6);
  for (int i = 0; i < 2; ++i) {
    lift.rest(1.0).move(-0.6, 1.5).rest(0.8);
    lift.rep(0.6, 1.6, kinetics_test::Shape::kTwoHumps);
  }
  lift.rest(1.0);
  Session session;
  session.motion = estimate_motion(kinetics_test::filmed(lift, {.sigma_m = 0.0002}));
  session.reps = find_reps(session.motion).reps;
  SetPlan plan;
  plan.lifter = "Odalys Brandt";
  plan.lift = "box squat";
  plan.bar = "cambered bar";
  plan.box_height_m = 0.45;
  plan.stated_load_kg = 92.5;
  session.options.plan = plan;
  BarLoad load;
  load.chains.push_back({.name = "heavy chain", .strands = 2});
  session.options.loading.load = load;
  return session;
}

}  // namespace

TEST_CASE("a stored set goes onto the map with its gear, its load and its full reps", "[report]") {
  Session session = session_of_two();
  REQUIRE(session.reps.size() == 2);
  session.reps[1].kind = RepKind::kPartial;
  const MappedSet set = mapped_set(session, "a.h5");
  CHECK(set.lifter == "Odalys Brandt");
  CHECK(set.gear == "cambered bar, box 45 cm, 2 x heavy chain");
  CHECK(set.load_kg == 92.5);
  REQUIRE(set.rises.size() == 1);
  CHECK(set.left_out == 1);
  REQUIRE(set.rises[0].sticking);
  CHECK_THAT(set.rises[0].sticking->low_m, WithinAbs(0.3, 0.01));  // of two humps: half way
}

TEST_CASE("a set of which nobody knows who lifted it is refused by name", "[report][bad-input]") {
  Session session = session_of_two();
  session.options.plan.reset();
  CHECK_THROWS_WITH(mapped_set(session, "a.h5"),
                    Catch::StartsWith("a.h5: ") && Contains("--sheet"));
}

TEST_CASE("sets are laid together by lifter, lift and gear however these are typed", "[report]") {
  const auto maps = sticking_maps({
      set_of("Odalys Brandt", "box squat", "straight bar, box 45 cm", 92.5, {30.0}),
      set_of("Wenna Duarte", "deadlift", "straight bar", 150.0, {20.0}),
      set_of("odalys  brandt", "Box-squat", "Straight bar, box 45 cm", 100.0, {31.0, 32.0}),
      set_of("Odalys Brandt", "box squat", "cambered bar, box 45 cm", 90.0, {35.0}),
      set_of("Odalys Brandt", "squat", "straight bar", 110.0, {35.0}),
  });
  REQUIRE(maps.size() == 3);
  CHECK(maps[0].lifter == "Odalys Brandt");
  REQUIRE(maps[0].groups.size() == 2);
  CHECK(maps[0].groups[0].name == "straight bar, box 45 cm");
  CHECK(maps[0].groups[0].detail == "92.5-100 kg, 2 sessions");
  CHECK(maps[0].groups[0].rises.size() == 3);
  CHECK(maps[0].groups[1].detail == "90 kg");
  CHECK(maps[1].lift == "deadlift");
  CHECK(maps[2].lift == "squat");
}

TEST_CASE("a mean place has Student's interval, and a single rep its own", "[report]") {
  MapGroup group{.name = "", .detail = "", .rises = {}};
  CHECK_FALSE(slow_point(group, PlaceFrom::kBottom));
  group.rises.push_back(rise_with(30.0, 0.5));
  const auto one = slow_point(group, PlaceFrom::kBottom);
  REQUIRE(one);
  CHECK_THAT(one->half_width, WithinAbs(1.96 * 0.005, 1e-5));
  group.rises.push_back(rise_with(31.0, 0.5));
  group.rises.push_back(rise_with(32.0, 0.5));
  const auto up = slow_point(group, PlaceFrom::kBottom);
  const auto down = slow_point(group, PlaceFrom::kTop);
  const auto share = slow_point(group, PlaceFrom::kShare);
  REQUIRE((up && down && share));
  CHECK_THAT(up->mean, WithinAbs(0.31, 1e-9));
  CHECK(up->half_width == Approx(0.0248).epsilon(0.01));
  CHECK_THAT(down->mean, WithinAbs(-0.29, 1e-9));
  CHECK_THAT(share->mean, WithinAbs(0.31 / 0.6, 1e-9));
  CHECK(share->half_width == Approx(0.0414).epsilon(0.01));
}

TEST_CASE("where a box cuts the range, the place is told from the top as well", "[report]") {
  StickingMap map{.lifter = "A", .lift = "box squat", .groups = {}};
  map.groups.push_back({.name = "low box", .detail = "", .rises = {}});
  map.groups.push_back({.name = "high box", .detail = "", .rises = {}});
  for (const double off : {-0.5, 0.0, 0.5}) {
    map.groups[0].rises.push_back(rise_with(30.0 + off, 0.1, 0.6));
    map.groups[1].rises.push_back(rise_with(25.0 + off, 0.1, 0.55));  // the same place in the room
  }
  CHECK_THAT(places_in_words(map)[1],
             Contains("cm lower than A. Counted from the top, as its range differs: no clear "
                      "change from A"));
}

TEST_CASE("loads on the map stand in the unit that is asked for", "[report]") {
  const auto sets = std::vector{set_of("A", "box squat", "straight bar", 100.0, {30.0}),
                                set_of("A", "box squat", "straight bar", 92.5, {31.0})};
  const auto detail = [&](std::optional<MassUnit> unit) {
    return sticking_maps(sets, unit)[0].groups[0].detail;
  };
  CHECK(detail(std::nullopt) == "92.5-100 kg, 2 sessions");
  CHECK(detail(MassUnit::kKilogram) == "92.5-100 kg, 2 sessions");
  // 203.93 and 220.46 lb: a pound is 0.45359237 kg by definition (yard and pound agreement, 1959).
  CHECK(detail(MassUnit::kPound) == "203.9-220.5 lb, 2 sessions");
}

TEST_CASE("the table of places fits 80 columns and tells what it leaves out", "[report]") {
  auto sets = std::vector{
      set_of("Odalys Brandt", "box squat", "straight bar, box 45 cm", 92.5, {30.0, 31.0, 32.0}),
      set_of("Odalys Brandt", "box squat", std::string(120, 'x') + " and more words", 90.0, {})};
  sets[1].rises.push_back({.curve = {{0.0, 0.1}, {0.6, 0.1}}, .rom_m = 0.6, .within_noise = true});
  sets[1].left_out = 2;
  const std::string table = sticking_table(sticking_maps(sets));
  CHECK_THAT(table, Contains("A    3 of 3  51.7 ± 4.1  31.0 ± 2.5  29.0 ± 2.5  straight bar"));
  CHECK_THAT(table, Contains("B    0 of 1           -           -           -  xxx"));
  CHECK_THAT(table, Contains("B: 1 with a dip that may be noise, 2 not measured or not full."));
  CHECK_THAT(table, Contains("lifter decide."));
  std::istringstream lines(table);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(shown_width(line) <= 80);
    CHECK((line.empty() || line.back() != ' '));
  }
}
