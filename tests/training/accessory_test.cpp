// Load times distance by hand: 60 kg × 60 m × 8 = 28,800 kg m; 60 % of it is 17,280, nearest whole
// trips 5 (18,000). Shares: common practice, no source.
#include "libkinetics/training/accessory.h"

#include <catch2/catch.hpp>

#include "tests/training/made_history.h"

using namespace kinetics;
using kinetics_test::day;

namespace {

AccessoryPlan sled() {
  AccessoryPlan plan;
  plan.name = "sled drag";
  plan.load_kg = 60.0;
  plan.distance_m = 60.0;
  plan.times = 8;
  plan.heavy_weekday = 5;
  plan.light_weekday = 2;
  return plan;
}

}  // namespace

TEST_CASE("a light day is near 60 % of the heavy one", "[training]") {
  const AccessoryWeek week = accessory_week({sled()}, std::nullopt, day("2031-12-29"));
  REQUIRE(week.sessions.size() == 2);
  CHECK(in_iso(week.sessions[0].day) == "2031-12-31");
  CHECK(week.sessions[0].times == 5);
  CHECK(in_iso(week.sessions[1].day) == "2032-01-03");
  CHECK(week.sessions[1].work_kg_m == 28800.0);
  CHECK(week.work_kg_m == 46800.0);
  AccessoryPlan tenfold = sled();
  tenfold.times = 10;
  CHECK(accessory_week({tenfold}, std::nullopt, day("2031-12-29")).sessions[0].share == 0.6);
}

TEST_CASE("the week's work is kept within the band by whole trips", "[training]") {
  for (double most = 4000.0; most < 60000.0; most += 1700.0) {
    const FromTo band{.least = 0.5 * most, .most = most};
    const AccessoryWeek week = accessory_week({sled()}, band, day("2031-12-29"));
    CAPTURE(most, week.work_kg_m);
    const bool within = week.work_kg_m >= band.least && week.work_kg_m <= band.most;
    const bool told = !week.notes.empty() && week.notes[0].kind == NoteKind::kCaution;
    CHECK((within || told));
    // Two single trips are the least there is.
    CHECK((within || most < 7200.0));
  }
  const FromTo more{.least = 60000.0, .most = 70000.0};
  CHECK(accessory_week({sled()}, more, day("2031-12-29")).work_kg_m >= 60000.0);
  CHECK(accessory_week({sled()}, more, day("2031-12-29"), 0.5).work_kg_m < 30000.0);
}

TEST_CASE("a band far above the plan is told, not carried out", "[training]") {
  const AccessoryWeek week =
      accessory_week({sled()}, FromTo{.least = 1e8, .most = 2e8}, day("2031-12-29"));
  for (const AccessorySession& s : week.sessions) CHECK(s.times <= 16);
  REQUIRE(week.notes.size() == 1);
  CHECK(week.notes[0].kind == NoteKind::kCaution);
  CHECK_THAT(week.notes[0].text, Catch::Contains("Change load, distance or band"));
}
