// The logbook from the keyboard: numbers taken in, listed, checked after damage, given out again;
// and the day of the lifting as it is told.
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

constexpr const char* kNumbers =
    "date,lifter,lift,load_kg,set,rep,mean_velocity_mps,mean_velocity_sigma_mps,rom_m\n"
    "2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.742,0.012,0.5\n"
    "2031-03-07,Odalys Brandt,box squat,92.5,1,2,0.735,0.012,0.5\n"
    "2031-03-09,Odalys Brandt,box squat,95,1,1,0.71,0.012,0.5\n"
    "2031-03-09,Imre Castellan,paused bench,70,1,1,0.51,0.012,0.34\n";

}  // namespace

TEST_CASE("numbers are taken in once, listed by day and given out again", "[tools][logbook]") {
  const Folder folder;
  spill(folder / "season.csv", kNumbers);
  CHECK_THAT(done(folder, "logbook import season.csv --logbook log").out,
             Contains("3 sets stored in log."));
  CHECK_THAT(done(folder, "logbook import season.csv --logbook log").out,
             Contains("0 sets stored in log; 3 there already."));
  const std::string listed = done(folder, "logbook list log").out;
  CHECK_THAT(listed, Contains("2031-03-07") && Contains("Imre Castellan") && Contains("0.742"));
  CHECK_THAT(listed, Contains("3 sessions."));
  const std::string one = done(folder, "logbook list log --lifter 'odalys brandt' --files").out;
  CHECK_THAT(one, Contains("2031-03-09_Odalys_Brandt_box_squat_1.h5"));
  CHECK_THAT(one, !Contains("Imre"));
  CHECK_THAT(done(folder, "logbook list log --from 2031-03-08 --to 2031-03-08").out,
             Contains("No session."));

  (void)done(folder, "logbook export log --csv out.csv --json out.json");
  const auto json = nlohmann::json::parse(std::ifstream(folder / "out.json"));
  CHECK(json["sessions"].size() == 3);
  CHECK(json["sessions"][0]["provenance"]["held_on"] == "2031-03-07");
  CHECK(json["sessions"][0]["reps"][0]["mean_velocity_mps"]["value"] == 0.742);
  (void)done(folder, "logbook import out.csv --logbook again");
  CHECK(kinetics::read_history(folder / "again").sets.size() == 3);
  CHECK_THAT(done(folder, "logbook export log --csv -").out, Contains("Odalys Brandt"));
  CHECK_THAT(done(folder, "logbook index log").out,
             Contains("3 session files read into the index"));
  CHECK_THAT(done(folder, "show log/2031-03-07_Odalys_Brandt_box_squat_1.h5").out,
             Contains("0.742 ± 0.024") && Contains("taken over from season.csv, rows 2 to 3"));
}

TEST_CASE("a check tells of damage, what it held and what to do, and moves it when told",
          "[tools][logbook]") {
  const Folder folder;
  spill(folder / "season.csv", kNumbers);
  (void)done(folder, "logbook import season.csv --logbook log");
  CHECK_THAT(done(folder, "logbook check log").out, Contains("3 sessions read whole"));
  const std::string file = folder / "log/2031-03-09_Imre_Castellan_paused_bench_1.h5";
  spill(file, slurp(file).substr(0, 20000));
  const Outcome checked = run_kinetics(folder, "logbook check log");
  CHECK(checked.status == kUnreadable);
  CHECK_THAT(checked.out, Contains("cut short: 20,000 of") && Contains("It held Imre Castellan"));
  CHECK_THAT(checked.err, Contains("1 file cannot be used"));
  CHECK(std::filesystem::exists(file));
  const Outcome moved = run_kinetics(folder, "logbook check log --set-aside");
  CHECK_THAT(moved.out, Contains("Moved: log/damaged/"));
  CHECK_FALSE(std::filesystem::exists(file));
  CHECK_THAT(done(folder, "logbook check log").out, Contains("was in this logbook"));
}

TEST_CASE("other numbers for a set are refused, or stored in its place when told",
          "[tools][logbook]") {
  const Folder folder;
  spill(folder / "season.csv", kNumbers);
  (void)done(folder, "logbook import season.csv --logbook log");
  std::string other = kNumbers;
  other.replace(other.find("0.71,"), 5, "0.72,");
  spill(folder / "other.csv", other);
  check_refused(
      folder, "logbook import other.csv --logbook log", kBadUsage, "other.csv row 4: set 1 of");
  CHECK_THAT(done(folder, "logbook import other.csv --logbook log --correct").out,
             Contains("1 set stored in log, 1 of them in place of other numbers; 2 there already"));
  CHECK_THAT(done(folder, "logbook list log").out,
             Contains("replaced") && Contains("corrected") && Contains("0.720"));
}

TEST_CASE("the logbook's commands say what is wrong with what was typed",
          "[tools][logbook][bad-input]") {
  const Folder folder;
  check_refused(folder, "logbook list nowhere", kUnreadable, "no such logbook folder");
  check_refused(folder, "logbook check nowhere", kUnreadable, "no such logbook folder");
  check_refused(folder, "logbook", kBadUsage, "");
  std::filesystem::create_directory(folder / "log");
  check_refused(folder, "logbook list log --from yesterday", kBadUsage, "this is no day");
  check_refused(folder, "logbook export log", kBadUsage, "nothing says where to");
  check_refused(folder, "logbook export log --csv - --json -", kBadUsage, "already goes there");
  check_refused(folder, "logbook import none.csv --logbook log", kUnreadable, "no such file");
  spill(folder / "season.csv", kNumbers);
  spill(folder / "log/roster.toml", "[[lifter]]\nname = \"Odalys Brant\"\n");
  check_refused(folder,
                "logbook import season.csv --logbook log",
                kUnreadable,
                "no lifter 'Odalys Brandt' is in the roster");
}

TEST_CASE("the day of the lifting is what was told, and stored", "[tools][logbook]") {
  const Folder folder;
  const std::string log = sample("logs/northgate_bench.csv");
  const Outcome told = done(folder, "analyse " + log + " --date 2031-03-07 --logbook log");
  CHECK_THAT(told.out, Contains("Held on 2031-03-07, taken from --date."));
  const std::string stored = std::filesystem::directory_iterator(folder / "log")->path().string();
  CHECK(kinetics::load_session(stored).provenance.held_on == "2031-03-07");

  spill(folder / "sheet.csv",
        "lifter,lift,load (kg),date\nImre Castellan,paused bench,70,8.3.2031\n");
  CHECK_THAT(done(folder, "analyse " + log + " --sheet sheet.csv").out,
             Contains("Held on 2031-03-08, taken from row 2 of sheet.csv."));
  CHECK_THAT(done(folder, "analyse " + log + " --sheet sheet.csv --date 2031-03-07").out,
             Contains("taken from --date"));
  check_refused(folder, "analyse " + log + " --date 7.3.2031", kBadUsage, "--date 7.3.2031");
}
