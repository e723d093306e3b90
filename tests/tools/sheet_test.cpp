// Rosters and session sheets as the coach uses them: made, checked, and given beside a clip. The
// shipped scenario has a roster, a sheet of three sets and a clip of each.
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "tests/tools/disc_clip.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

const std::string& club() {
  static const std::string text =
      " --sheet " + sample("club/speed_day.csv") + " --roster " + sample("club/northgate.toml");
  return text;
}

constexpr const char* kRoster = R"([[bar]]
name = "straight bar"
mass_kg = 20
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "squat"
)";

}  // namespace

TEST_CASE("a new sheet is made once and never overwritten", "[tools][sheet]") {
  const Folder folder;
  spill(folder / "club.toml", kRoster);
  const Outcome made = run_kinetics(folder, "sheet new --roster club.toml -o day.csv");
  CAPTURE(made.err);
  REQUIRE(made.status == 0);
  CHECK(made.out == "Written: day.csv\n");
  CHECK_THAT(slurp(folder / "day.csv"), Contains("Odalys Brandt,squat"));
  spill(folder / "day.csv", "filled in by hand\n");
  check_refused(folder, "sheet new --roster club.toml -o day.csv", kBadUsage, "never overwritten");
  CHECK(slurp(folder / "day.csv") == "filled in by hand\n");
  std::filesystem::create_symlink("nowhere.csv", folder / "link.csv");
  check_refused(folder, "sheet new --roster club.toml -o link.csv", kBadUsage, "never overwritten");
  check_refused(folder, "sheet new --roster club.toml -o no/day.csv", kBadUsage, "folder");
}

TEST_CASE("without a name the new sheet goes to the screen", "[tools][sheet]") {
  const Folder folder;
  spill(folder / "club.toml", kRoster);
  const Outcome made = run_kinetics(folder, "sheet new --roster club.toml");
  CHECK(made.status == 0);
  CHECK_THAT(made.out, Contains("lifter,lift,bar") && Contains("Odalys Brandt,squat"));
}

TEST_CASE("a sheet is checked against the roster", "[tools][sheet]") {
  const Folder folder;
  const Outcome good = run_kinetics(
      folder,
      "sheet check " + sample("club/speed_day.csv") + " --roster " + sample("club/northgate.toml"));
  CAPTURE(good.err, good.out);
  CHECK(good.status == 0);
  CHECK_THAT(good.out, Contains("Odalys Brandt") && Contains("3 sets read."));

  spill(folder / "club.toml", kRoster);
  spill(folder / "bad.csv",
        "lifter,lift,load kg\nOdalis Brandt,squat,100\nOdalys Brandt,squat,1OO\n");
  const Outcome bad = run_kinetics(folder, "sheet check bad.csv --roster club.toml");
  CHECK(bad.status == kUnreadable);
  CHECK_THAT(
      bad.out,
      Contains("bad.csv row 2, column A (lifter)") && Contains("bad.csv row 3, column C (load)"));
  CHECK_THAT(bad.err, Contains("bad.csv: 2 cells to mend"));
  CHECK(lines_in(bad.err) == 1);
}

TEST_CASE("what is wrong in roster or sheet is refused in one line before any work",
          "[tools][sheet]") {
  const Folder folder;
  const std::string analyse = "analyse " + shared_disc_clip() + " --csv out.csv ";
  spill(folder / "club.toml", kRoster);
  spill(folder / "typo.toml", std::string(kRoster) + "best_singel_kg = 100\n");
  spill(folder / "bad.csv", "lifter,lift,load kg\nOdalys Brandt,squat,heavy\n");
  spill(folder / "good.csv", "lifter,lift,load kg\nOdalys Brandt,squat,100\n");
  spill(folder / "two.csv",
        "lifter,lift,load kg\nOdalys Brandt,squat,100\nOdalys Brandt,squat,90\n");
  spill(folder / "other.csv",
        "lifter,lift,load kg,chains\nOdalys Brandt,squat,100,2 x long chain\n");
  check_refused(
      folder, analyse + "--sheet good.csv --roster typo.toml", kUnreadable, "typo.toml:8");
  check_refused(folder, analyse + "--sheet bad.csv", kUnreadable, "bad.csv row 2, column C (load)");
  check_refused(folder, analyse + "--sheet none.csv", kUnreadable, "none.csv");
  check_refused(
      folder, analyse + "--sheet two.csv", kBadUsage, "row 2: Odalys Brandt, squat; row 3");
  check_refused(folder, analyse + "--sheet two.csv --row 7", kBadUsage, "row 7 holds no set");
  check_refused(folder, analyse + "--sheet other.csv", kUnreadable, "--roster");
  check_refused(folder,
                analyse + "--sheet other.csv --roster club.toml",
                kUnreadable,
                "no chain 'long chain'");
  check_refused(folder, analyse + "--row 2", kBadUsage, "--sheet");
  check_refused(folder, analyse + "--row x", kBadUsage, "--row");
  check_refused(folder, analyse + "--zone 0.9,0.7", kBadUsage, "--zone");
  check_refused(folder, analyse + "--zone fast", kBadUsage, "--zone");
  check_refused(folder, analyse + "--high-bottom 9m", kBadUsage, "--high-bottom");
  check_refused(folder, analyse + "--uneven-pause -1", kBadUsage, "--uneven-pause");
  check_refused(folder, analyse + "--below-expected much", kBadUsage, "--below-expected");
}

TEST_CASE("sheet and roster are never written to", "[tools][sheet]") {
  const Folder folder;
  spill(folder / "club.toml", kRoster);
  spill(folder / "good.csv", "lifter,lift,load kg\nOdalys Brandt,squat,100\n");
  const std::string analyse =
      "analyse " + shared_disc_clip() + " --sheet good.csv --roster club.toml ";
  check_refused(folder, analyse + "--csv good.csv", kBadUsage, "never written to");
  check_refused(folder, analyse + "--json club.toml", kBadUsage, "never written to");
}

TEST_CASE("a sheet alone gives the load", "[tools][sheet]") {
  const Folder folder;
  spill(folder / "good.csv", "Übung;lifter;lift;load\r\nx;Odalys Brandt;squat;102,5 kg\r\n");
  const Outcome outcome =
      run_kinetics(folder, "analyse " + shared_disc_clip() + " --sheet good.csv --zone 0.1,0.2");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("Odalys Brandt, squat: 102.5 kg (good.csv row 2)"));
  CHECK_THAT(outcome.out, Contains("Mean force") && Contains("102.5  102.5  102.5"));
  CHECK_THAT(outcome.out, Contains("faster than the zone: too light: certain"));
}

TEST_CASE("the scenario's sets are shown with load, force and flags, and stored with them",
          "[tools][sheet]") {
  const Folder folder;
  const Outcome outcome =
      run_kinetics(folder,
                   "analyse " + sample("clips/northgate_deadlift.mp4") + club() +
                       " --row 4 --json a.json --csv a.csv --logbook log");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("Wenna Duarte, deadlift, straight bar: 150 kg"));
  CHECK_THAT(outcome.out, Contains("150.0  150.0  150.0"));
  CHECK_THAT(outcome.out, Contains("Set 1 rep 5, slowed: certain."));
  CHECK_THAT(outcome.out, Contains("Set 1 rep 5, slower than expected: certain."));
  CHECK_THAT(slurp(folder / "a.csv"), Contains("Wenna Duarte,deadlift,straight bar,150.000"));

  const auto session = nlohmann::json::parse(std::ifstream(folder / "a.json"));
  CHECK(session["plan"]["lifter"] == "Wenna Duarte");
  // At rest at both ends, mean force over time is the weight: 150 kg at 9.80665 m/s² (3rd CGPM).
  CHECK(session["reps"][0]["mean_force_n"]["value"] == Approx(150 * 9.80665).epsilon(0.01));

  const Outcome shown = run_kinetics(folder, "show " + files_in(folder).back());
  CHECK(shown.status == 0);
  CHECK(outcome.out.rfind(shown.out, 0) == 0);
}

TEST_CASE("chains make the load rise to the top", "[tools][sheet]") {
  const Folder folder;
  const Outcome outcome = run_kinetics(
      folder,
      "analyse " + sample("clips/northgate_box_squat.mp4") + club() + " --row 2 --json a.json");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("92.5 kg, 2 x heavy"));
  CHECK_THAT(outcome.out, Contains("Chains swing"));
  const auto session = nlohmann::json::parse(std::ifstream(folder / "a.json"));
  // Two strands of 5.7 kg/m below half a metre of light rope, the bar 0.94 m up at the bottom and
  // 0.49 m higher at the top: 92.5 + 11.4 · 0.44 and 92.5 + 11.4 · 0.93 kg.
  for (const auto& rep : session["reps"]) {
    CHECK(rep["bottom_load_kg"]["value"] == Approx(97.52).margin(0.5));
    CHECK(rep["top_load_kg"]["value"] == Approx(103.10).margin(0.5));
  }
}
