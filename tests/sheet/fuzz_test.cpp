// The small sheets are read as what they are, and the fuzz target holds over them and over mutated
// copies.
#include <catch2/catch.hpp>

#include "libkinetics/sheet/sheet.h"
#include "tests/fuzz/mutated.h"

using namespace kinetics;

namespace {

const std::filesystem::path kSheets =
    std::filesystem::path(KINETICS_SOURCE_DIR) / "tests/data/sheets";
const std::filesystem::path kScenario = std::filesystem::path(KINETICS_SOURCE_DIR) / "samples/club";

}  // namespace

TEST_CASE("the small sheets are read as what they are", "[sheet]") {
  const Sheet european = read_sheet(kSheets / "semicolons_decimal_comma.csv");
  REQUIRE(european.rows.size() == 2);
  CHECK(european.rows[0].load_kg == 92.5);
  CHECK(european.rows[0].notes == "calm; no rush");
  CHECK(european.rows[1].bands.size() == 2);
  const Sheet pounds = read_sheet(kSheets / "tabs_pounds.txt");
  REQUIRE(pounds.rows.size() == 2);
  CHECK(pounds.rows[0].load_kg == Approx(330 * 0.45359237));  // the pound of 1959
  CHECK(pounds.rows[1].box_height_m.value_or(0.0) == Approx(17.5 * 0.0254));
  const SheetReading bad = inspect_sheet(kSheets / "to_fill_and_to_mend.csv");
  CHECK(bad.sheet.rows_to_fill == 1);
  CHECK(bad.problems.size() == 3);
}

TEST_CASE("the fuzz target holds on the small sheets, cut anywhere and mutated", "[sheet][fuzz]") {
  auto all = kinetics_test::contents_of(kSheets);
  all.push_back(kinetics_test::content_of(kScenario / "speed_day.csv"));
  REQUIRE(all.size() >= 5);
  const std::size_t finished = kinetics_test::finished_over(
      all,
      {",",           ";",      "\t",       "\"", "\"\"", "\r\n", "\r", "\n",  "\xEF\xBB\xBF",
       "\xFF\xFE",    "1e308",  "nan",      "-",  "0",    "kg",   "lb", " x ", "+",
       "99999999999", "lifter", "load (lb)"},
      500);
  // A broken promise ends the program within the target.
  CHECK(finished == all.size() * 501);
}
