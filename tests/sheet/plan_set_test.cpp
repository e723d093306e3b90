// A row and the roster together say what was on the bar. One pound is 0.45359237 kg exactly
// (International yard and pound agreement, 1959).
#include "libkinetics/sheet/plan_set.h"

#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using namespace kinetics;
using Catch::Contains;

namespace {

constexpr const char* kRoster = R"(
[[bar]]
name = "straight bar"
mass_kg = 20
limit_kg = 300
[[bar]]
name = "cambered bar"
mass_kg = 25
sleeves_raised_cm = -18
[collars]
mass_kg = 2.5
[[chain]]
name = "long chain"
mass_kg_per_m = 3.8
length_m = 1.6
count = 4
[[band]]
name = "light band"
stretched_cm = [40, 90]
tension_kg = [0, 12]
anchor_height_cm = 10
[[rack]]
name = "rack one"
limit_kg = 450
[thresholds]
zone_mps = [0.7, 1.0]

[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "box squat"
best_single_kg = 180
lockout_height_cm = 144
[[lifter.lift]]
lift = "box squat"
box_height_cm = 38
best_single_kg = 170
[[lifter.lift]]
lift = "box squat"
box_height_cm = 38
bar = "cambered bar"
best_single_kg = 160
lockout_height_cm = 126
zone_mps = [0.6, 0.8]
[[lifter.lift]]
lift = "press"
bar = "straight bar"
)";

constexpr const char* kHeadings = "lifter,lift,bar,box cm,load kg,chains,bands,set\n";

PlannedSet planned(const std::string& cells, bool with_roster = true) {
  const SheetReading reading = parse_sheet(kHeadings + cells, "s.csv");
  REQUIRE(reading.problems.empty());
  const Roster roster = parse_roster(kRoster, "r.toml");
  return plan_set(
      reading.sheet, choose_row(reading.sheet, std::nullopt), with_roster ? &roster : nullptr);
}

std::string refusal(const std::string& cells, bool with_roster = true) {
  try {
    (void)planned(cells, with_roster);
  } catch (const Error& error) {
    return error.what();
  }
  return "no error";
}

}  // namespace

TEST_CASE("bar, collars and discs add up to the load on the sheet", "[sheet]") {
  const PlannedSet set = planned("odalys  brandt,Box-Squat,,,100,,,2\n");
  CHECK(set.plan.lifter == "Odalys Brandt");
  CHECK(set.plan.bar == "straight bar");
  CHECK(set.load.bar_kg == 20.0);
  CHECK(set.load.collars_kg == 5.0);
  CHECK(set.load.discs_kg == 75.0);
  CHECK(set.plan.set == 2);
  CHECK(set.plan.best_single_kg == 180.0);
  CHECK(set.thresholds.zone == VelocityBand{0.7, 1.0});
  REQUIRE(set.plan.limits.size() == 2);
  CHECK(set.plan.limits[0].of == "straight bar");
}

TEST_CASE("an empty bar has neither collars nor discs", "[sheet]") {
  const PlannedSet set = planned("Odalys Brandt,box squat,,,20,,,\n");
  CHECK(set.load.collars_kg == 0.0);
  CHECK(set.load.discs_kg == 0.0);
}

TEST_CASE("of several entries the one that names most of bar and box counts", "[sheet]") {
  CHECK(planned("Odalys Brandt,box squat,,38,100,,,\n").plan.best_single_kg == 170.0);
  CHECK(planned("Odalys Brandt,box squat,cambered bar,38,100,,,\n").plan.best_single_kg == 160.0);
  CHECK(planned("Odalys Brandt,box squat,cambered bar,45,100,,,\n").plan.best_single_kg == 180.0);
  const PlannedSet set = planned("Odalys Brandt,box squat,cambered bar,38,100,,,\n");
  CHECK(set.thresholds.zone == VelocityBand{0.6, 0.8});
}

TEST_CASE("heights given for any bar move with a bar whose sleeves sit lower", "[sheet]") {
  CHECK(planned("Odalys Brandt,box squat,,,100,,,\n").lockout_height_m == Approx(1.44));
  CHECK(planned("Odalys Brandt,box squat,cambered bar,,100,,,\n").lockout_height_m == Approx(1.26));
  CHECK(planned("Odalys Brandt,box squat,cambered bar,38,100,,,\n").lockout_height_m ==
        Approx(1.26));
}

TEST_CASE("chains and bands come from the roster with their number", "[sheet]") {
  const PlannedSet set = planned("Odalys Brandt,box squat,,,100,4 x long chain,light band,\n");
  REQUIRE(set.load.chains.size() == 1);
  CHECK(set.load.chains[0].strands == 4);
  CHECK(set.load.chains[0].mass_kg_per_m == 3.8);
  REQUIRE(set.load.bands.size() == 1);
  CHECK(set.load.bands[0].count == 2);
}

TEST_CASE("a variant the roster does not know is used without expectations, and said", "[sheet]") {
  const PlannedSet set = planned("Odalys Brandt,press,cambered bar,,60,,,\n");
  CHECK_FALSE(set.plan.best_single_kg.has_value());
  REQUIRE(set.notes.size() == 1);
  CHECK_THAT(set.notes[0].text, Contains("'press' of Odalys Brandt"));
}

TEST_CASE("a load that the discs do not make is noted with its neighbours", "[sheet]") {
  const SheetReading reading =
      parse_sheet(std::string(kHeadings) + "Odalys Brandt,box squat,,,102,,,\n", "s.csv");
  const Roster roster =
      parse_roster(std::string("[[disc]]\nmass_kg = 20\ncount = 4\n[[disc]]\nmass_kg = 2.5\n"
                               "count = 2\n") +
                       kRoster,
                   "r.toml");
  // 25 kg of bar and collars leave 38.5 kg a side; 22.5 and 40 kg can be made.
  const PlannedSet set = plan_set(reading.sheet, reading.sheet.rows.front(), &roster);
  REQUIRE(set.notes.size() == 1);
  CHECK_THAT(set.notes[0].text,
             Contains("do not make 102 kg") && Contains("nearest is 70 kg or 105 kg"));
}

TEST_CASE("without a roster the load alone is known", "[sheet]") {
  const PlannedSet set = planned("Anyone,squat,some bar,,225 lb,,,\n", false);
  CHECK(set.load.bar_kg + set.load.discs_kg == Approx(102.05828325).epsilon(1e-12));
  CHECK(set.plan.lifter == "Anyone");
  CHECK_THAT(refusal("Anyone,squat,,,100,long chain,,\n", false),
             Catch::StartsWith("s.csv row 2, column F (chains)") && Contains("--roster"));
}

TEST_CASE("what the roster does not hold is refused with row and column", "[sheet][bad-input]") {
  struct Case {
    const char* cells;
    const char* where;
    const char* says;
  };
  const Case c = GENERATE(values<Case>({
      {"Odalis Brandt,box squat,,,100,,,\n",
       "column A (lifter)",
       "Perhaps 'Odalys Brandt' is meant"},
      {"Nobody,box squat,,,100,,,\n", "column A (lifter)", "Known are: Odalys Brandt"},
      {"Odalys Brandt,box sqaut,,,100,,,\n", "column B (lift)", "Perhaps 'box squat' is meant"},
      {"Odalys Brandt,snatch,,,100,,,\n", "column B (lift)", "Known are: box squat"},
      {"Odalys Brandt,box squat,camber bar,,100,,,\n", "column C (bar)", "'cambered bar'"},
      {"Odalys Brandt,box squat,,,15,,,\n", "column E (load)", "less than the bar's own 20 kg"},
      {"Odalys Brandt,box squat,,,100,lonng chain,,\n", "column F (chains)", "'long chain'"},
      {"Odalys Brandt,box squat,,,100,3 x long chain,,\n", "column F (chains)", "evenly"},
      {"Odalys Brandt,box squat,,,100,6 x long chain,,\n", "column F (chains)", "roster has 4"},
      {"Odalys Brandt,box squat,,,100,,heavy band,\n", "column G (bands)", "Known are: light band"},
      {"Odalys Brandt,press,,,100,long chain,,\n", "column F (chains)", "lockout_height_cm"},
  }));
  CAPTURE(c.cells);
  CHECK_THAT(refusal(c.cells),
             Catch::StartsWith(std::string("s.csv row 2, ") + c.where) && Contains(c.says));
}

TEST_CASE("a check of the sheet finds all of it", "[sheet][bad-input]") {
  const SheetReading reading = parse_sheet(std::string(kHeadings) +
                                               "Nobody,squat,,,100,,,\n"
                                               "Odalys Brandt,box squat,,,100,long chain,,\n"
                                               "Odalys Brandt,snatch,,,5,,,\n",
                                           "s.csv");
  const SheetCheck check = check_sheet(reading.sheet, parse_roster(kRoster, "r.toml"));
  REQUIRE(check.problems.size() == 3);
  CHECK(check.problems[0].row == 2);
  CHECK(check.problems[1].row == 4);
  CHECK(check.problems[2].row == 4);
}

TEST_CASE("of several rows one must be chosen, and they are listed", "[sheet][bad-input]") {
  const SheetReading reading =
      parse_sheet(std::string(kHeadings) + "A,squat,,,100,,,1\n\nB,bench,,,80,,,2\n", "s.csv");
  CHECK(choose_row(reading.sheet, 4).lifter == "B");
  CHECK_THROWS_WITH(
      choose_row(reading.sheet, std::nullopt),
      Contains("2 sets") && Contains("row 2: A, squat, set 1; row 4: B, bench, set 2"));
  CHECK_THROWS_WITH(choose_row(reading.sheet, std::nullopt, "b.mp4"), Contains("2 sets"));
  CHECK_THROWS_WITH(choose_row(reading.sheet, 3), Contains("row 3 holds no set"));
  CHECK_THROWS_WITH(choose_row(parse_sheet(kHeadings, "s.csv").sheet, std::nullopt),
                    Contains("no row below"));
}

TEST_CASE("a sheet that names the clips tells which row a clip is", "[sheet]") {
  const SheetReading reading = parse_sheet(
      "lifter,lift,load (kg),clip\nA,squat,100,day/first.mp4\nB,bench,80,second.mp4\n"
      "C,squat,90,twice.mp4\nD,squat,90,twice.mp4\n",
      "s.csv");
  REQUIRE(reading.problems.empty());
  CHECK(choose_row(reading.sheet, std::nullopt, "/here/first.mp4").lifter == "A");
  CHECK(choose_row(reading.sheet, std::nullopt, "second.mp4").lifter == "B");
  CHECK(choose_row(reading.sheet, 2, "second.mp4").lifter == "A");
  CHECK_THROWS_WITH(choose_row(reading.sheet, std::nullopt, "twice.mp4"), Contains("4 sets"));
  CHECK_THROWS_WITH(choose_row(reading.sheet, std::nullopt, "other.mp4"), Contains("4 sets"));
}
