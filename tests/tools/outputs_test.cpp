// What a good run leaves: the results that were asked for, whole, and nothing else; standard output
// for the table, or for the one result that was sent there.
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/session/version.h"
#include "tests/support/python.h"
#include "tests/tools/disc_clip.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

std::string without_carriage_returns(std::string text) {
  std::erase(text, '\r');
  return text;
}

}  // namespace

TEST_CASE("a set is analysed, every result is whole, and show prints it again", "[tools]") {
  const Folder folder;
  const Outcome analysed = run_kinetics(folder,
                                        "analyse " + shared_disc_clip() +
                                            " --csv a.csv --json a.json --plot a.svg "
                                            "--report a.html --overlay a.mp4 --logbook log");
  CAPTURE(analysed.err, analysed.out);
  REQUIRE(analysed.status == 0);
  CHECK(analysed.err.empty());
  CHECK_THAT(analysed.out, Contains("Set 1: 2 reps"));
  CHECK_THAT(analysed.out, Contains("Written: a.csv") && Contains("Stored: log/"));

  const std::vector<std::string> files = files_in(folder);
  REQUIRE(files.size() == 6);
  CHECK(lines_in(slurp(folder / "a.csv")) == 3);
  CHECK_THAT(slurp(folder / "a.svg"), Contains("</svg>"));
  CHECK_THAT(slurp(folder / "a.html"), Contains("</html>"));
  CHECK(std::filesystem::file_size(folder / "a.mp4") > 1000);

  const std::string stored = files[5];
  REQUIRE(std::filesystem::path(stored).extension() == ".h5");
  const Outcome shown = run_kinetics(folder, "show " + stored);
  CHECK(shown.status == 0);
  CHECK(analysed.out.rfind(shown.out, 0) == 0);  // the same table, before the names of the files
  CHECK(run_kinetics(folder, "show " + stored + " --csv -").out == slurp(folder / "a.csv"));
  CHECK(run_kinetics(folder, "show " + stored + " --json -").out == slurp(folder / "a.json"));
  CHECK(run_kinetics(folder, "show " + stored + " --report -").out == slurp(folder / "a.html"));
}

TEST_CASE("nothing but the result goes to standard output", "[tools]") {
  const Folder folder;
  const Outcome csv =
      run_kinetics(folder, "analyse " + shared_disc_clip() + " --csv - --plot p.svg");
  CHECK(csv.status == 0);
  CHECK(csv.err.empty());
  CHECK(lines_in(csv.out) == 3);
  CHECK_THAT(without_carriage_returns(csv.out),
             Catch::StartsWith("set,rep,start_s,end_s,mean_velocity_mps,"));
  CHECK(files_in(folder) == std::vector<std::string>{"p.svg"});

  const Outcome json = run_kinetics(folder, "analyse " + shared_disc_clip() + " --json -");
  CHECK(json.status == 0);
  CHECK_THAT(json.out, Catch::StartsWith("{\n") && Catch::EndsWith("}\n"));
}

TEST_CASE("an older result is replaced as a whole, through a symbolic link too", "[tools]") {
  const Folder folder;
  spill(folder / "real.csv", "old");
  std::filesystem::create_symlink("real.csv", folder / "link.csv");
  REQUIRE(run_kinetics(folder, "analyse " + shared_disc_clip() + " --csv link.csv").status == 0);
  CHECK(std::filesystem::is_symlink(folder / "link.csv"));
  CHECK(lines_in(slurp(folder / "real.csv")) == 3);
  CHECK(files_in(folder).size() == 2);
}

TEST_CASE("a clip in which nothing is lifted far enough is done, and told plainly", "[tools]") {
  const Folder folder;
  // The disc rises 0.6 m; asked for a metre, no rise counts.
  const Outcome outcome = run_kinetics(folder, "analyse " + shared_disc_clip() + " --min-rise 1m");
  CAPTURE(outcome.err);
  CHECK(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("No repetition was found in this clip."));
}

TEST_CASE("the disc's diameter scales every length", "[tools]") {
  const Folder folder;
  const std::string run = "analyse " + shared_disc_clip() + " --csv - ";
  const auto range_of = [&](const std::string& options) {
    spill(folder / "a.csv", run_kinetics(folder, run + options).out);
    const std::string told = python(folder / "range.py",
                                    "import csv, sys\n"
                                    "print(next(csv.DictReader(open(sys.argv[1])))['rom_m'])\n",
                                    "'" + (folder / "a.csv") + "'");
    return std::stod(told);
  };
  // 400 mm over the 450 mm taken for granted.
  CHECK(range_of("--disc-diameter 40cm") / range_of("") == Approx(400.0 / 450.0).epsilon(0.002));
}

TEST_CASE("help and version answer and succeed", "[tools]") {
  const Folder folder;
  CHECK(run_kinetics(folder, "--version").out ==
        "kinetics " + std::string(kinetics::version()) + "\n");
  for (const char* arguments : {"--help", "analyse --help", "show --help"}) {
    const Outcome outcome = run_kinetics(folder, arguments);
    CHECK(outcome.status == 0);
    CHECK(outcome.err.empty());
    CHECK_FALSE(outcome.out.empty());
  }
  CHECK_THAT(run_kinetics(folder, "analyse --help").out,
             Contains("--disc-diameter") && Contains("450 (mm)"));
}
