// Logs as the person at the keyboard gives them: alone, beside their clip, beside the wrong clip.
// The shipped bench set has a clip, the log of a sensor on its bar, and the exact truth of both.
#include <cmath>
#include <fstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

nlohmann::json json_of(const std::string& path) {
  return nlohmann::json::parse(std::ifstream(path));
}

}  // namespace

TEST_CASE("a log alone gives the table, every result, and a session that can be shown",
          "[tools][log]") {
  const Folder folder;
  const Outcome analysed =
      run_kinetics(folder,
                   "analyse " + sample("logs/northgate_bench.csv") +
                       " --csv a.csv --json a.json --plot a.svg --logbook log");
  CAPTURE(analysed.err, analysed.out);
  REQUIRE(analysed.status == 0);
  CHECK_THAT(
      analysed.out,
      Contains("accelerations and rotation rates, 100.0 a second") && Contains("Set 1: 5 reps"));
  CHECK_THAT(slurp(folder / "a.svg"), Contains("</svg>"));
  const nlohmann::json session = json_of(folder / "a.json");
  CHECK(session["clip"].is_null());
  CHECK(session["log"]["rows"] == 2577);
  const nlohmann::json truth = json_of(sample("logs/northgate_bench.truth.json"));
  REQUIRE(session["reps"].size() == truth["reps"].size());
  for (std::size_t i = 0; i < truth["reps"].size(); ++i) {
    CAPTURE(i);
    const double measured = session["reps"][i]["mean_velocity_mps"]["value"];
    CHECK(measured == Approx(truth["reps"][i]["mean_velocity_mps"].get<double>()).margin(0.04));
  }
  const std::vector<std::string> files = files_in(folder);
  const Outcome shown = run_kinetics(folder, "show " + files.back());
  CHECK(shown.status == 0);
  CHECK(analysed.out.rfind(shown.out, 0) == 0);
}

TEST_CASE("a clip and its log are measured together", "[tools][log]") {
  const Folder folder;
  const Outcome analysed =
      run_kinetics(folder,
                   "analyse " + sample("clips/northgate_bench.mp4") + " --log " +
                       sample("logs/northgate_bench.csv") + " --json a.json");
  CAPTURE(analysed.err, analysed.out);
  REQUIRE(analysed.status == 0);
  CHECK_THAT(analysed.out, Contains("The log begins 2.4"));
  const nlohmann::json session = json_of(folder / "a.json");
  const nlohmann::json truth = json_of(sample("clips/northgate_bench.truth.json"));
  REQUIRE(session["reps"].size() == truth["reps"].size());
  for (std::size_t i = 0; i < truth["reps"].size(); ++i) {
    CAPTURE(i);
    const double measured = session["reps"][i]["mean_velocity_mps"]["value"];
    CHECK(measured == Approx(truth["reps"][i]["mean_velocity_mps"].get<double>()).margin(0.015));
  }
}

TEST_CASE("what cannot go together is refused in one line", "[tools][log]") {
  const Folder folder;
  const std::string log = sample("logs/northgate_bench.csv");
  const std::string other_clip = sample("clips/northgate_deadlift.mp4");
  check_refused(
      folder, "analyse " + other_clip + " --log " + log, kUnreadable, "northgate_deadlift.mp4");
  check_refused(folder, "analyse " + log + " --overlay a.mp4", kBadUsage, "no pictures");
  check_refused(folder, "analyse " + log + " --log " + log, kBadUsage, "--log");
  check_refused(folder, "analyse " + log + " --rate often", kBadUsage, "--rate");
  check_refused(folder, "analyse " + log + " --latitude 123", kBadUsage, "--latitude");
  check_refused(folder, "analyse " + log + " --columns t,ax,ay", kBadUsage, "--columns");
}

TEST_CASE("a log that is none is unreadable", "[tools][log]") {
  const Folder folder;
  spill(folder / "empty.csv", "");
  spill(folder / "prose.txt", "Tuesday: box squat, 10 x 2 at 60 %\nBench after.\n");
  spill(folder / "one_axis.csv", "t,ax\n0.00,1\n0.01,1\n0.02,1\n");
  for (const char* name : {"missing.csv", "empty.csv", "prose.txt", "one_axis.csv"}) {
    check_refused(folder, std::string("analyse ") + name + " --csv a.out", kUnreadable, name);
  }
}

TEST_CASE("neither clip nor log is ever written to", "[tools][log]") {
  const Folder folder;
  spill(folder / "set.csv", slurp(sample("logs/northgate_bench.csv")));
  check_refused(folder, "analyse set.csv --csv set.csv", kBadUsage, "never written to");
  check_refused(folder,
                "analyse " + sample("clips/northgate_bench.mp4") + " --log set.csv --json set.csv",
                kBadUsage,
                "never written to");
}
