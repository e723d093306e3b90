// Every slip a sheet can hold is told with file, row, column and mend.
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/sheet/sheet.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using Catch::Contains;

namespace {

std::string first_message(const std::string& text) {
  try {
    const SheetReading reading = parse_sheet(text, "s.csv");
    if (reading.problems.empty()) return "no problem";
    CHECK_FALSE(reading.problems.front().mend.empty());
    return as_error(reading.problems.front(), "s.csv").what();
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK_FALSE(error.mend().empty());
    return error.what();
  }
}

struct Case {
  std::string text;
  std::string where;
  std::string says;
};

const std::string kAll = "lifter,lift,box cm,load kg,chains,set,time,reps\n";
const std::string kBare = "lifter,lift,load,box height\n";

}  // namespace

TEST_CASE("an error in a sheet names row, column, trouble and mend", "[sheet][bad-input]") {
  const Case c = GENERATE(values<Case>({
      // cells
      {kAll + "A,squat,,1OO,,,,\n", "s.csv row 2, column D (load)", "'oo' in '1OO' is no unit"},
      {kAll + "A,squat,,heavy,,,,\n", "s.csv row 2, column D (load)", "'heavy' is not a number"},
      {kAll + "A,squat,,100,,,,\nB,squat,,,,2,,\n", "s.csv row 3, column D (load)", "missing"},
      {kAll + ",squat,,100,,,,\n", "s.csv row 2, column A (lifter)", "missing"},
      {kAll + "A,,,100,,,,\n", "s.csv row 2, column B (lift)", "missing"},
      {kAll + "A,squat,,\"1,250\",,,,\n", "s.csv row 2, column D (load)", "thousands or decimals"},
      {kAll + "A,squat,,\"1.000,5\",,,,\n", "s.csv row 2, column D (load)", "2 decimal marks"},
      {kAll + "A,squat,,-100,,,,\n", "s.csv row 2, column D (load)", "no load a bar could have"},
      {kAll + "A,squat,,0,,,,\n", "s.csv row 2, column D (load)", "no load a bar could have"},
      {kAll + "A,squat,,10000,,,,\n", "s.csv row 2, column D (load)", "1 to 1000 kg"},
      {kAll + "A,squat,,nan,,,,\n", "s.csv row 2, column D (load)", "not a number"},
      {kAll + "A,squat,,1e2,,,,\n", "s.csv row 2, column D (load)", "'e2' in '1e2' is no unit"},
      {kAll + "A,squat,,100 stone,,,,\n", "s.csv row 2, column D (load)", "'stone' in '100 stone'"},
      {kBare + "A,squat,100,\n", "s.csv row 2, column C (load)", "has no unit"},
      {kBare + "A,squat,100 kg,38\n", "s.csv row 2, column D (box height)", "cm or in"},
      {kAll + "A,squat,380,100,,,,\n", "s.csv row 2, column C (box height)", "5 to 120 cm"},
      {kAll + "A,squat,low,100,,,,\n", "s.csv row 2, column C (box height)", "not a number"},
      {kAll + "A,squat,,100,2 x,,,\n", "s.csv row 2, column E (chains)", "names no gear"},
      {kAll + "A,squat,,100,0 x long chain,,,\n", "s.csv row 2, column E (chains)", "0 pieces"},
      {kAll + "A,squat,,100,200 x long chain,,,\n", "s.csv row 2, column E (chains)", "200 pieces"},
      {kAll + "A,squat,,100,a + A,,,\n", "s.csv row 2, column E (chains)", "twice"},
      {kAll + "A,squat,,100,a ++ b,,,\n", "s.csv row 2, column E (chains)", "names no gear"},
      {kAll + "A,squat,,100,,first,,\n", "s.csv row 2, column F (set)", "whole number"},
      {kAll + "A,squat,,100,,0,,\n", "s.csv row 2, column F (set)", "from 1"},
      {kAll + "A,squat,,100,,1.5,,\n", "s.csv row 2, column F (set)", "whole number"},
      {kAll + "A,squat,,100,,,25:10,\n", "s.csv row 2, column G (time)", "17:05"},
      {kAll + "A,squat,,100,,,17:61,\n", "s.csv row 2, column G (time)", "neither a time"},
      {kAll + "A,squat,,100,,,noon,\n", "s.csv row 2, column G (time)", "neither a time"},
      {kAll + "A,squat,,100,,,,3x2\n", "s.csv row 2, column H (reps)", "whole number"},
      // rows
      {kAll + "A,squat,,102,5,,1,,3\n", "s.csv row 2, column I", "9 cells and the headings are 8"},
      {kAll + "A,squat,,100,\"2 x a,,,\nB,squat,,90,,,,\n", "s.csv row 2, column E", "never ends"},
      {kAll + "A,squat,,100,J\xFCrgen,,,\n", "s.csv row 2, column E", "UTF-8"},
      // headings
      {"lifter,lift\nA,squat\n", "s.csv row 1", "no column for the load"},
      {"lifter,load kg\nA,100\n", "s.csv row 1", "no column for the lift"},
      {"lifter,lift,laod kg\nA,squat,100\n", "s.csv row 1", "Column C 'laod kg'"},
      {"lifter,lift,load kg,weight lb\nA,squat,100,220\n", "s.csv row 1", "C and D both mean"},
      {"A,squat,100\nB,squat,90\n", "s.csv: no row of headings", "lifter, lift, bar"},
      {"%PDF-1.4\n", "s.csv: no row of headings", "first row"},
  }));
  CAPTURE(c.text);
  CHECK_THAT(first_message(c.text), Catch::StartsWith(c.where) && Contains(c.says));
}

TEST_CASE("all that is wrong is found at once, and good rows are kept", "[sheet][bad-input]") {
  const SheetReading reading =
      parse_sheet(kAll + "A,squat,,x,,y,,\nB,squat,,90,,1,,\nC,squat,,,z ++,,,\n", "s.csv");
  REQUIRE(reading.problems.size() == 4);
  CHECK(reading.problems[0].row == 2);
  CHECK(reading.problems[1].row == 2);
  CHECK(reading.problems[2].row == 4);
  REQUIRE(reading.sheet.rows.size() == 1);
  CHECK(reading.sheet.rows[0].lifter == "B");
}

TEST_CASE("a sheet that cannot be read at all says so", "[sheet][bad-input]") {
  const kinetics_test::Folder folder;
  kinetics_test::spill(folder / "empty.csv", "");
  CHECK_THROWS_WITH(read_sheet(folder / "empty.csv"), Contains("empty.csv: this sheet is empty"));
  CHECK_THROWS_WITH(read_sheet(folder / "none.csv"), Contains("no such sheet"));
  CHECK_THROWS_WITH(read_sheet(folder.path().string()), Contains("folder"));
}
