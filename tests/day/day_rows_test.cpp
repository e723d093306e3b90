// Sheets and a roster of an invented club; expected orders and heights are worked out by hand.
#include "libkinetics/day/day_rows.h"

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using namespace kinetics;

namespace {

std::vector<int> order(const std::string& text) {
  std::vector<int> out;
  for (const DayRow& row : day_rows(parse_sheet(text, "day.csv").sheet, nullptr).rows) {
    out.push_back(row.row);
  }
  return out;
}

}  // namespace

TEST_CASE("times of day are read as people write them", "[day]") {
  CHECK(time_of_day_s("17:05") == 17 * 3600.0 + 300.0);
  CHECK(time_of_day_s(" 17:05:30 ") == 17 * 3600.0 + 330.0);
  CHECK(time_of_day_s("5:05 pm") == 17 * 3600.0 + 300.0);
  CHECK(time_of_day_s("12:00AM") == 0.0);
  CHECK(time_of_day_s("9h30") == 9.5 * 3600.0);
  for (const char* text : {"", "7", "17", "17:60", "24:00", "13:00 pm", "noon", "17:05 or so"}) {
    CAPTURE(text);
    CHECK_FALSE(time_of_day_s(text));
  }
}

TEST_CASE("rows go by their times or places, else by turns, else as they stand", "[day]") {
  CHECK(
      order("lifter,lift,load (kg),time\nA,squat,90,17:10\nB,squat,90,17:05\nC,squat,90,9:00\n") ==
      std::vector<int>{4, 3, 2});
  CHECK(order("lifter,lift,load (kg),order\nA,squat,90,3\nB,squat,90,1\nC,squat,90,2\n") ==
        std::vector<int>{3, 4, 2});
  // Lifter by lifter, without times: everybody's first set comes first.
  CHECK(order("lifter,lift,load (kg)\nA,squat,90\nA,squat,95\nB,squat,90\nB,squat,95\n") ==
        std::vector<int>{2, 4, 3, 5});
  CHECK(order("lifter,lift,load (kg),set\nA,squat,90,1\nA,squat,95,3\nB,squat,90,2\n") ==
        std::vector<int>{2, 4, 3});
  CHECK(order("lifter,lift,load (kg)\nA,squat,90\nB,squat,95\nA,squat,90\nB,squat,95\n") ==
        std::vector<int>{2, 3, 4, 5});
}

TEST_CASE("what is usual comes from the roster's heights", "[day]") {
  const Roster roster = parse_roster(R"(
[[bar]]
name = "straight bar"
mass_kg = 20
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "box squat"
lockout_height_cm = 144
bottom_height_cm = 94
height_sigma_cm = 0.5
)",
                                     "club.toml");
  const Sheet sheet =
      parse_sheet("lifter,lift,load (kg),time,reps\nodalys  brandt,Box Squat,90,17:05,3\n", "d.csv")
          .sheet;
  const DayPlan plan = day_rows(sheet, &roster);
  REQUIRE(plan.rows.size() == 1);
  CHECK(plan.rows[0].lifter == "Odalys Brandt");
  CHECK(plan.rows[0].planned_reps == 3);
  CHECK(plan.rows[0].start_s == 17 * 3600.0 + 300.0);
  CHECK(plan.rows[0].usual_lockout_m.value() == Approx(1.44));
  CHECK(plan.rows[0].usual_rom_m.value() == Approx(0.50));
  CHECK(plan.rows[0].usual_rom_m.sigma() == Approx(0.005 * 1.41421356));
  const Sheet other = parse_sheet("lifter,lift,load (kg)\nNobody,Box Squat,90\n", "d.csv").sheet;
  CHECK_THROWS_AS(day_rows(other, &roster), Error);
}
