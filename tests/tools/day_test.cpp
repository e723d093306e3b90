// A whole day through the program: a folder of clips and a sheet in, a logbook out; interrupted and
// gone on with, shared among machines, and corrected by the coach. The clips show a drawn disc;
// what is in them is known because the test drew it.
#include <algorithm>
#include <cmath>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include "libkinetics/logbook/session_file.h"
#include "tests/tools/disc_clip.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

namespace fs = std::filesystem;

constexpr const char* kSheet =
    "lifter,lift,load (kg),set,reps\n"
    "Odalys Brandt,squat,90,1,2\n"
    "Imre Castellan,squat,120,1,2\n"
    "Odalys Brandt,squat,95,2,2\n";

/// Three clips of two reps each, and a sheet with three rows. An empty box at the end with the
/// clip's name makes each a file of its own, not a copy of another.
void make_day(const Folder& folder) {
  fs::create_directory(folder / "day");
  for (const char* name : {"1.mp4", "2.mp4", "10.mp4"}) {
    const fs::path clip = fs::path(folder / "day") / name;
    fs::copy(shared_disc_clip(), clip);
    std::ofstream box(clip, std::ios::binary | std::ios::app);
    box << std::string("\0\0\0\x0c", 4) << "free" << fmt::format("{:4.4}", name) << std::flush;
  }
  spill(folder / "sheet.csv", kSheet);
}

/// Four sets at odd times filmed by two cameras of one size, in one folder and in two: the second
/// saw all of it smaller and began later. No file tells of a clock.
void make_two_views(const Folder& folder) {
  for (const char* name : {"together", "apart/a", "apart/b"}) fs::create_directories(folder / name);
  const auto held = [](int k, double s) {
    return fmt::format("[0:v]tpad=stop_mode=clone:stop_duration={}[v{}];", s, k);
  };
  kinetics_test::ffmpeg(
      fmt::format("-i '{}' -filter_complex "
                  "\"{}{}{}{}[v0][v1][v2][v3]concat=n=4:v=1\" "
                  "-c:v mpeg4 -q:v 2 '{}'",
                  shared_disc_clip(),
                  held(0, 9.0),
                  held(1, 21.0),
                  held(2, 13.0),
                  held(3, 6.0),
                  folder / "together/a.mp4"));
  kinetics_test::ffmpeg(
      fmt::format("-ss 0.8 -i '{}' -vf scale=400:300,pad=480:360:50:30:gray "
                  "-c:v mpeg4 -q:v 2 '{}'",
                  folder / "together/a.mp4",
                  folder / "together/b.mp4"));
  fs::copy(folder / "together/a.mp4", folder / "apart/a/a.mp4");
  fs::copy(folder / "together/b.mp4", folder / "apart/b/b.mp4");
  spill(folder / "sheet.csv", std::string(kSheet) + "Imre Castellan,squat,125,2,2\n");
}

constexpr const char* kAnalyse = "analyse day --sheet sheet.csv --logbook log";

/// The session files of a logbook, by their names, which tell their content.
std::vector<std::string> sessions(const Folder& folder, const std::string& logbook = "log") {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator(folder / logbook)) {
    if (entry.path().extension() == ".h5") out.push_back(entry.path().filename().string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

void check_refused(const Folder& folder, const std::string& arguments, const std::string& words) {
  const Outcome outcome = run_kinetics(folder, arguments);
  CAPTURE(arguments, outcome.out, outcome.err);
  CHECK(outcome.status == 2);
  CHECK_THAT(outcome.err, Contains(words));
  CHECK(lines_in(outcome.err) == 1);
}

}  // namespace

TEST_CASE("a folder of clips becomes sets with their rows, and once only", "[tools][day]") {
  const Folder folder;
  make_day(folder);
  const Outcome first = run_kinetics(folder, kAnalyse);
  CAPTURE(first.out, first.err);
  REQUIRE(first.status == 0);
  CHECK_THAT(first.out, Contains("Odalys Brandt, squat") && !Contains("not seen"));
  const std::vector<std::string> stored = sessions(folder);
  REQUIRE(stored.size() == 3);
  std::vector<std::string> lifters;
  for (const std::string& file : stored) {
    const auto session = kinetics::load_session(folder / ("log/" + file));
    CHECK(session.reps.size() == 2);
    REQUIRE(session.options.plan.has_value());
    CHECK(session.options.loading.load.has_value());
    if (session.provenance.source_name == "10.mp4") CHECK(session.options.plan->row == 4);
  }
  const Outcome again = run_kinetics(folder, kAnalyse);
  CHECK(again.out == first.out);
  CHECK(sessions(folder) == stored);
}

TEST_CASE("one recording with many sets is a day when there is a logbook", "[tools][day]") {
  const Folder folder;
  spill(folder / "sheet.csv", kSheet);
  const Outcome day =
      run_kinetics(folder, "analyse " + shared_disc_clip() + " --sheet sheet.csv --logbook log");
  CAPTURE(day.out, day.err);
  CHECK(day.status == 0);
  CHECK(sessions(folder).size() == 1);
  check_refused(folder, "analyse " + shared_disc_clip() + " --sheet sheet.csv", "--row");
}

TEST_CASE("the coach's word on a set is kept by every later run", "[tools][day]") {
  const Folder folder;
  make_day(folder);
  REQUIRE(run_kinetics(folder, kAnalyse).status == 0);
  const std::vector<std::string> before = sessions(folder);
  const Outcome told =
      run_kinetics(folder, std::string(kAnalyse) + " --assign 1=3 --assign 2=nobody");
  CAPTURE(told.out, told.err);
  REQUIRE(told.status == 0);
  CHECK_THAT(told.out, Contains("your word"));
  CHECK_THAT(slurp(folder / "log/sheet.rows.txt"), Contains("1.mp4 at 0:00:0"));
  const std::vector<std::string> after = sessions(folder);
  CHECK(after != before);
  CHECK(after.size() == 3);
  // What was stored before is kept aside.
  CHECK_FALSE(fs::is_empty(folder / "log/replaced"));
  const Outcome later = run_kinetics(folder, kAnalyse);
  CHECK(later.out == told.out);
  CHECK(sessions(folder) == after);
}

TEST_CASE("machines that share the work end with the day of one", "[tools][day]") {
  const Folder folder;
  make_day(folder);
  REQUIRE(run_kinetics(folder, "analyse day --sheet sheet.csv --logbook alone").status == 0);
  const Outcome one = run_kinetics(folder, std::string(kAnalyse) + " --part 1/2");
  CHECK(one.status == 0);
  CHECK_THAT(one.out, Contains("2 of 3 recordings are watched."));
  CHECK(sessions(folder).empty());
  const Outcome two = run_kinetics(folder, std::string(kAnalyse) + " --part 2/2");
  CHECK_THAT(two.out, Contains("3 of 3 recordings are watched."));
  REQUIRE(run_kinetics(folder, std::string(kAnalyse) + " --jobs 3").status == 0);
  CHECK(sessions(folder) == sessions(folder, "alone"));
}

TEST_CASE("two cameras' files in one folder count each set once", "[tools][day]") {
  const Folder folder;
  make_two_views(folder);
  for (const char* arguments : {"analyse together --sheet sheet.csv --logbook together-log",
                                "analyse apart --sheet sheet.csv --logbook apart-log"}) {
    const Outcome outcome = run_kinetics(folder, arguments);
    CAPTURE(arguments, outcome.out, outcome.err);
    REQUIRE(outcome.status == 0);
    CHECK_THAT(outcome.out, Contains("show the same lifts"));
  }
  // Which camera's sets are kept is the same: the nearer one's.
  const std::vector<std::string> stored = sessions(folder, "together-log");
  REQUIRE(stored.size() == 4);
  for (const std::string& file : stored) {
    const auto session = kinetics::load_session(folder / ("together-log/" + file));
    CHECK(session.provenance.source_name == "a.mp4");
    CHECK(session.reps.size() == 2);
    for (const auto& rep : session.reps) CHECK(std::abs(rep.rom_m.value() - 0.6) < 0.01);
  }
  CHECK(sessions(folder, "apart-log").size() == 4);
}

TEST_CASE("killed at any moment, a later run ends with the same", "[tools][day]") {
  const Folder folder;
  make_day(folder);
  REQUIRE(run_kinetics(folder, "analyse day --sheet sheet.csv --logbook alone").status == 0);
  std::mt19937 random(20310307);
  for (int k = 0; k < 10; ++k) {
    const pid_t child = ::fork();
    if (child == 0) {
      if (::chdir(folder.path().c_str()) != 0) ::_exit(99);
      if (::freopen("/dev/null", "w", stdout) == nullptr) ::_exit(99);
      const std::string program = kinetics_program();
      ::execl(program.c_str(),
              program.c_str(),
              "analyse",
              "day",
              "--sheet",
              "sheet.csv",
              "--logbook",
              "log",
              nullptr);
      ::_exit(99);
    }
    ::usleep(20000 + static_cast<useconds_t>(random() % 500000));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
  }
  const Outcome last = run_kinetics(folder, kAnalyse);
  CAPTURE(last.out, last.err);
  CHECK(last.status == 0);
  CHECK(sessions(folder) == sessions(folder, "alone"));
}

TEST_CASE("what does not go with a day, or with a set, is refused in a line", "[tools][day]") {
  const Folder folder;
  make_day(folder);
  check_refused(folder, "analyse day --sheet sheet.csv", "--logbook");
  check_refused(folder, std::string(kAnalyse) + " --csv a.csv", "--csv");
  check_refused(folder, std::string(kAnalyse) + " --seed 1,2,3", "--seed");
  check_refused(folder, std::string(kAnalyse) + " --part 3/2", "--part");
  check_refused(folder, std::string(kAnalyse) + " --assign x", "--assign");
  check_refused(folder, "analyse " + shared_disc_clip() + " --jobs 2", "--jobs");
  CHECK_FALSE(fs::exists(folder / "log"));
  check_refused(folder, std::string(kAnalyse) + " --assign 9=2", "there are 3 sets");
  check_refused(folder, std::string(kAnalyse) + " --assign 1=99", "row 99");
}
