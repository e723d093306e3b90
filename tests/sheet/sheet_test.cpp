// One session, written in the ways spreadsheets and coaches write it, is read as the same sets.
// One pound is 0.45359237 kg, one inch 25.4 mm exactly (International yard and pound agreement,
// 1959).
#include "libkinetics/sheet/sheet.h"

#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/new_sheet.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using Catch::Contains;

namespace {

constexpr const char* kHeadings =
    "lifter,lift,bar,box height (cm),load (kg),chains,bands,set,time,reps,notes\n";

Sheet sheet_of(const std::string& text) {
  SheetReading reading = parse_sheet(text, "s.csv");
  for (const SheetProblem& problem : reading.problems) {
    FAIL_CHECK(as_error(problem, "s.csv").what());
  }
  return reading.sheet;
}

SheetRow row_of(const std::string& cells) {
  const Sheet sheet = sheet_of(kHeadings + cells);
  REQUIRE(sheet.rows.size() == 1);
  return sheet.rows.front();
}

}  // namespace

TEST_CASE("a row is read with everything in it", "[sheet]") {
  const SheetRow row =
      row_of("Odalys Brandt,box squat,cambered bar,38,92.5,2 x long chain,,3,17:05,4,\"a, b\"\n");
  CHECK(row.row == 2);
  CHECK(row.lifter == "Odalys Brandt");
  CHECK(row.lift == "box squat");
  CHECK(row.bar == "cambered bar");
  CHECK(row.box_height_m == Approx(0.38));
  CHECK(row.load_kg == 92.5);
  CHECK(row.load_unit == MassUnit::kKilogram);
  REQUIRE(row.chains.size() == 1);
  CHECK(row.chains[0].name == "long chain");
  CHECK(row.chains[0].count == 2);
  CHECK(row.bands.empty());
  CHECK(row.set == 3);
  CHECK(row.start == "17:05");
  CHECK(row.planned_reps == 4);
  CHECK(row.notes == "a, b");
}

TEST_CASE("delimiter, decimal comma, line ends and mark do not matter", "[sheet]") {
  const std::string text = GENERATE("lifter,lift,load kg\nA,squat,102.5\n",
                                    "lifter,lift,load kg\nA,squat,\"102,5\"\n",
                                    "\xEF\xBB\xBFlifter;lift;load kg\r\nA;squat;102,5\r\n",
                                    "lifter\tlift\tload kg\nA\tsquat\t102,5\n",
                                    "lifter|lift|load kg\nA|squat|102.5 kg\n",
                                    "lifter,lift,load kg\rA,squat,102.5\r",
                                    "\"lifter\",\"lift\",\"load kg\"\n\"A\",\"squat\",\"102.5\"\n",
                                    "LIFTER,Lift,Load [KG]\nA,squat,102.50\n",
                                    "lift,Athlete,Bar-Weight (kg):\nsquat,A,102.5kg\n",
                                    "lifter,lift,load\nA,squat,102.5 kg\n",
                                    "lifter,lift,load in kg\nA,squat,102.5\n",
                                    "lifter,lift,load kg\n,,\n\nA,squat,102.5\n\n,,\n",
                                    "Tuesday's session,,\n,,\nlifter,lift,load kg\nA,squat,102.5\n",
                                    "lifter,lift,load kg\nA,squat,102.5\xC2\xA0kg\n",
                                    "lifter,lift,load kg\nA,squat,102.5,,\n");
  CAPTURE(text);
  const Sheet sheet = sheet_of(text);
  REQUIRE(sheet.rows.size() == 1);
  CHECK(sheet.rows[0].lifter == "A");
  CHECK(sheet.rows[0].lift == "squat");
  CHECK(sheet.rows[0].load_kg == 102.5);
}

TEST_CASE("a unit in the cell goes before that of the heading", "[sheet]") {
  CHECK(row_of("A,squat,,,225 lb,,,,,,\n").load_kg == Approx(102.05828325).epsilon(1e-12));
  CHECK(row_of("A,squat,,,225 lb,,,,,,\n").load_unit == MassUnit::kPound);
  CHECK(*row_of("A,squat,,15 in,100,,,,,,\n").box_height_m == Approx(0.381));
  CHECK(*row_of("A,squat,,\"15\"\"\",100,,,,,,\n").box_height_m == Approx(0.381));
}

TEST_CASE("rows keep the number they have in the spreadsheet", "[sheet]") {
  const Sheet sheet =
      sheet_of("lifter,lift,load kg,notes\nA,squat,100,\"two\nlines\"\n\nB,squat,90,\n");
  REQUIRE(sheet.rows.size() == 2);
  CHECK(sheet.rows[0].row == 2);
  CHECK(sheet.rows[1].row == 4);  // the cell of two lines is one row
}

TEST_CASE("gear is counted over both sides, in any of the ways it is written", "[sheet]") {
  struct Case {
    const char* cell;
    const char* name;
    int count;
  };
  const Case c = GENERATE(values<Case>({{"2 x long chain", "long chain", 2},
                                        {"4x long chain", "long chain", 4},
                                        {"long chain x 4", "long chain", 4},
                                        {"long chain × 4", "long chain", 4},
                                        {"2 × long chain", "long chain", 2},
                                        {"long chain", "long chain", 2},
                                        {"1 x long chain a side", "long chain", 2},
                                        {"2 x long chain per side", "long chain", 4},
                                        {"long chain a side", "long chain", 2},
                                        {"13 mm chain", "13 mm chain", 2},
                                        {"2 x 13 mm", "13 mm", 2},
                                        {"chain max", "chain max", 2}}));
  CAPTURE(c.cell);
  const SheetRow row = row_of(std::string("A,squat,,,100,") + c.cell + ",,,,,\n");
  REQUIRE(row.chains.size() == 1);
  CHECK(row.chains[0].name == c.name);
  CHECK(row.chains[0].count == c.count);
}

TEST_CASE("several pieces of gear stand in one cell", "[sheet]") {
  const SheetRow row = row_of("A,squat,,,100,2 x long chain + 4 x short chain,none,,,,\n");
  REQUIRE(row.chains.size() == 2);
  CHECK(row.chains[1].name == "short chain");
  CHECK(row.chains[1].count == 4);
  CHECK(row.bands.empty());
}

TEST_CASE("a start is a time of day or a place in the order", "[sheet]") {
  const std::string start = GENERATE("17:05",
                                     "7:30",
                                     "17:05:30",
                                     "17.05",
                                     "5:05 pm",
                                     "12",
                                     "2026-11-25 17:05",
                                     "2026-11-25T17:05:00",
                                     "25.11.2026 17:05");
  CHECK(row_of("A,squat,,,100,,,," + start + ",,\n").start == start);
}

TEST_CASE("the day stands in a column of its own or in front of the time", "[sheet]") {
  const auto date_of = [](const std::string& date, const std::string& start) {
    const SheetReading reading = parse_sheet(
        "lifter,lift,load (kg),date,time\nOdalys Brandt,squat,100," + date + "," + start + "\n",
        "s.csv");
    if (!reading.problems.empty()) return reading.problems.front().what;
    return reading.sheet.rows.at(0).date;
  };
  CHECK(date_of("2031-03-07", "17:05") == "2031-03-07");
  CHECK(date_of("2031-03-07 00:00", "") == "2031-03-07");
  CHECK(date_of("7.3.2031", "") == "2031-03-07");
  CHECK(date_of("07.03.2031", "") == "2031-03-07");
  CHECK(date_of("14/3/2031", "") == "2031-03-14");
  CHECK(date_of("3/14/2031", "") == "2031-03-14");
  CHECK(date_of("3/3/2031", "") == "2031-03-03");
  CHECK(date_of("", "2031-03-07 17:05") == "2031-03-07");
  CHECK(date_of("", "17:05").empty());
  CHECK(date_of("", "17.05").empty());
  CHECK(date_of("", "").empty());
  CHECK_THAT(date_of("7/3/2031", ""), Catch::Contains("day or the month first"));
  CHECK_THAT(date_of("30.2.2031", ""), Catch::Contains("no day"));
  CHECK_THAT(date_of("7.3.31", ""), Catch::Contains("no day"));
  CHECK_THAT(date_of("Friday", ""), Catch::Contains("no day"));
}

TEST_CASE("a row that is still to be filled in is no set and no error", "[sheet]") {
  const Sheet sheet =
      sheet_of(std::string(kHeadings) + "A,squat,straight bar,45,,,,,,,\nB,squat,,,90,,,1,,,\n");
  CHECK(sheet.rows_to_fill == 1);
  REQUIRE(sheet.rows.size() == 1);
  CHECK(sheet.rows[0].lifter == "B");
}

TEST_CASE("what was read is written again, unknown columns among it", "[sheet]") {
  const std::string text = GENERATE(
      "lifter,colour of shirt,lift,load kg,clip\nA,red,squat,100,a.mp4\n\nB,\"blue, "
      "dark\",squat,90,\n",
      "\xEF\xBB\xBFlifter;lift;load kg;Größe\r\nA;squat;102,5;1,80\r\n",
      "Tuesday\nlifter\tlift\tload kg\nA\tsquat\t100\n");
  CAPTURE(text);
  CHECK(to_text(sheet_of(text)) == text);
}

TEST_CASE("a heading that is nearly one of ours is remarked on", "[sheet]") {
  const Sheet sheet = sheet_of("lifter,lift,load kg,chians\nA,squat,100,x\n");
  REQUIRE(sheet.notes.size() == 1);
  CHECK_THAT(sheet.notes[0].text, Contains("Column D 'chians'") && Contains("'chains'"));
}

TEST_CASE("a new sheet names every lifter and lift and reads as nothing filled in", "[sheet]") {
  const Roster roster =
      read_roster(std::string(KINETICS_SOURCE_DIR) + "/samples/club/northgate.toml");
  const std::string text = new_sheet(roster);
  CHECK_THAT(text, Contains("load (kg)") && Contains("Odalys Brandt,box squat,,45,"));
  const Sheet sheet = sheet_of(text);
  CHECK(sheet.rows.empty());
  CHECK(sheet.rows_to_fill == 3);
  Roster pounds = roster;
  pounds.unit = MassUnit::kPound;
  CHECK_THAT(new_sheet(pounds), Contains("load (lb)"));
}

TEST_CASE("the shipped sheet is read", "[sheet]") {
  const std::string path = std::string(KINETICS_SOURCE_DIR) + "/samples/club/speed_day.csv";
  const Sheet sheet = read_sheet(path);
  CHECK(sheet.rows.size() == 3);
  CHECK(to_text(sheet) == kinetics_test::slurp(path));
}
