// The small rosters are read as what they are, and the fuzz target holds over them and over mutated
// copies.
#include <catch2/catch.hpp>

#include "libkinetics/roster/roster.h"
#include "tests/fuzz/mutated.h"

using namespace kinetics;

namespace {

const std::filesystem::path kRosters =
    std::filesystem::path(KINETICS_SOURCE_DIR) / "tests/data/rosters";
const std::filesystem::path kScenario = std::filesystem::path(KINETICS_SOURCE_DIR) / "samples/club";

}  // namespace

TEST_CASE("the small rosters are read as what they are", "[roster]") {
  const Roster every = read_roster(kRosters / "every_entry.toml");
  CHECK(every.gear.bars.size() == 2);
  CHECK(every.gear.chains.size() == 1);
  CHECK(every.gear.bands.size() == 1);
  REQUIRE(every.lifters.size() == 1);
  CHECK(every.lifters[0].lifts.at(0).expected.size() == 2);
  const Roster pounds = read_roster(kRosters / "pounds_inches.toml");
  CHECK(pounds.unit == MassUnit::kPound);
  CHECK(pounds.gear.bars.at(0).mass_kg == Approx(65 * 0.45359237));  // the pound of 1959
  CHECK(pounds.lifters.at(0).lifts.at(0).box_height_m.value_or(0.0) == Approx(15.5 * 0.0254));
  CHECK(read_roster(kRosters / "smallest.toml").lifters.size() == 1);
}

TEST_CASE("the fuzz target holds on the small rosters, cut anywhere and mutated",
          "[roster][fuzz]") {
  auto all = kinetics_test::contents_of(kRosters);
  all.push_back(kinetics_test::content_of(kScenario / "northgate.toml"));
  REQUIRE(all.size() >= 4);
  const std::size_t finished = kinetics_test::finished_over(
      all,
      {"=",      "[", "]",   "[[",  "]]",  "{",    "}",          "\"",
       "'''",    "#", "\n",  ",",   ".",   "-",    "1e308",      "nan",
       "inf",    "0", "_kg", "_lb", "_cm", "true", "1979-05-27", "0x7FFFFFFFFFFFFFFF",
       "\\u0000"},
      300);
  // A broken promise ends the program within the target.
  CHECK(finished == all.size() * 301);
}
