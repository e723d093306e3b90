// Bad input, as the person at the keyboard meets it: the right exit status, exactly one line on
// stderr that names the trouble, nothing on stdout, and no file left behind.
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "tests/tools/disc_clip.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::ffmpeg;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

constexpr const char* kAllOutputs =
    " --csv out/a.csv --json out/a.json --plot out/a.svg --overlay out/a.mp4 --logbook out/log";

/// Runs it with every output asked for and checks all that holds for any error.
/// Nothing is left behind either where results were to go, or of a logbook.
void check_refused_whole(const Folder& folder,
                         const std::string& arguments,
                         int status,
                         const std::string& words) {
  std::filesystem::create_directory(folder / "out");
  check_refused(folder, arguments, status, words);
  CHECK_FALSE(std::filesystem::exists(folder / "out/log"));
}

}  // namespace

TEST_CASE("an input that is no clip is unreadable", "[tools][bad-input]") {
  const Folder folder;
  spill(folder / "empty.mp4", "");
  spill(folder / "text.mp4", "Tuesday: box squat, 10 x 2 at 60 %\n");
  std::filesystem::create_directory(folder / "folder.mp4");
  ffmpeg("-f lavfi -i sine=duration=1 " + (folder / "sound.mp4"));
  check_refused_whole(
      folder, std::string("analyse missing.mp4") + kAllOutputs, kUnreadable, "missing.mp4");
  check_refused_whole(
      folder, std::string("analyse empty.mp4") + kAllOutputs, kUnreadable, "empty.mp4");
  check_refused_whole(
      folder, std::string("analyse text.mp4") + kAllOutputs, kUnreadable, "text.mp4");
  check_refused_whole(
      folder, std::string("analyse folder.mp4") + kAllOutputs, kUnreadable, "folder.mp4");
  check_refused_whole(
      folder, std::string("analyse sound.mp4") + kAllOutputs, kUnreadable, "sound.mp4");
}

TEST_CASE("a clip cut off before its index is unreadable", "[tools][bad-input]") {
  const Folder folder;
  const std::string whole = slurp(shared_disc_clip());
  spill(folder / "cut.mp4", whole.substr(0, whole.size() / 2));
  check_refused_whole(folder, std::string("analyse cut.mp4") + kAllOutputs, kUnreadable, "cut.mp4");
}

TEST_CASE("a clip without a disc that moves has nothing to track", "[tools][bad-input]") {
  const Folder folder;
  ffmpeg("-f lavfi -i color=gray:size=320x240:rate=30:duration=3 " + (folder / "plain.mp4"));
  ffmpeg("-f lavfi -i testsrc=size=320x240:rate=30:duration=3 " + (folder / "card.mp4"));
  ffmpeg("-f lavfi -i color=gray:size=320x240:rate=30:duration=3 -vf noise=alls=40:allf=t " +
         (folder / "noise.mp4"));
  for (const char* clip : {"plain.mp4", "card.mp4", "noise.mp4"}) {
    check_refused_whole(
        folder, std::string("analyse ") + clip + kAllOutputs, kNothingToTrack, clip);
  }
}

TEST_CASE("two discs lifted by turns are told apart by a seed only", "[tools][bad-input]") {
  const Folder folder;
  ffmpeg("-i " + shared_disc_clip() + " -i " + shared_disc_clip() +
         " -filter_complex \"[1:v]hflip,tpad=start_duration=1.4:start_mode=clone[late];"
         "[0:v][late]hstack=shortest=1\" -c:v mpeg4 -q:v 2 " +
         (folder / "two.mp4"));
  check_refused_whole(
      folder, std::string("analyse two.mp4") + kAllOutputs, kNothingToTrack, "--seed");
  const Outcome left = run_kinetics(folder, "analyse two.mp4 --seed 240,110,0 --csv -");
  CHECK(left.status == 0);
  CHECK(lines_in(left.out) == 3);  // the header and the left disc's two reps
}

TEST_CASE("a single picture has nothing to track", "[tools][bad-input]") {
  const Folder folder;
  ffmpeg("-i " + shared_disc_clip() + " -frames:v 1 " + (folder / "one.mp4"));
  check_refused_whole(
      folder, std::string("analyse one.mp4") + kAllOutputs, kNothingToTrack, "one.mp4");
}

TEST_CASE("options that make no sense are wrong use", "[tools][bad-input]") {
  const Folder folder;
  const std::string analyse = "analyse " + shared_disc_clip() + kAllOutputs + " ";
  const auto [option, values] = GENERATE(table<std::string, std::vector<std::string>>({
      {"--disc-diameter", {"-3", "0", "nan", "0.45", "9m", "disc", "''"}},
      {"--capture-fps", {"-240", "0", "inf", "fast"}},
      {"--readout-ms", {"-1", "1e6", "x"}},
      {"--camera-roll-deg", {"90", "-46", "up"}},
      {"--threshold", {"0", "-0.02", "2", "0,02"}},
      {"--min-rise", {"0", "9m", "-10cm"}},
      {"--slowed-loss", {"0", "0.2", "100", "-20"}},
      {"--set-gap", {"0", "-30", "1e9"}},
      {"--seed", {"1,2", "9999,5,1", "5,9999,1", "5,5,600", "-5,5,1", "nan,5,1"}},
  }));
  for (const std::string& value : values) {
    // The seed's place is checked against the clip by the library, which calls it by its name.
    check_refused_whole(folder, analyse + option + " " + value, kBadUsage, option.substr(2, 4));
  }
}

TEST_CASE("a command line that cannot be understood is wrong use", "[tools][bad-input]") {
  const Folder folder;
  const std::string arguments = GENERATE("",
                                         "analyse",
                                         "measure x.mp4",
                                         "analyse x.mp4 --no-such-option",
                                         "show",
                                         "analyse x.mp4 y.mp4",
                                         "analyse x.mp4 --csv",
                                         "show a.h5 --overlay b.mp4");
  check_refused_whole(folder, arguments, kBadUsage, "--help");
}

TEST_CASE("an output that cannot be written is known before the work", "[tools][bad-input]") {
  const Folder folder;
  // An input that does not exist: were the output not checked first, that would be the error.
  for (const std::string option : {"--csv", "--json", "--plot", "--report", "--overlay"}) {
    check_refused_whole(folder, "analyse none.mp4 " + option + " no/such/a", kBadUsage, option);
    check_refused_whole(folder, "analyse none.mp4 " + option + " out", kBadUsage, option);
    check_refused_whole(folder, "analyse none.mp4 " + option + " /proc/a", kBadUsage, "/proc");
    check_refused_whole(folder, "analyse none.mp4 " + option + " ''", kBadUsage, option);
  }
  spill(folder / "plainfile", "");
  check_refused_whole(folder, "analyse none.mp4 --logbook plainfile", kBadUsage, "plainfile");
  check_refused_whole(folder, "analyse none.mp4 --logbook /proc/log", kBadUsage, "/proc");
  check_refused_whole(folder, "analyse none.mp4 --overlay -", kBadUsage, "--overlay");
}

TEST_CASE("the input is never written over", "[tools][bad-input]") {
  const Folder folder;
  const std::string bytes = slurp(shared_disc_clip());
  spill(folder / "set.mp4", bytes);
  std::filesystem::create_hard_link(folder / "set.mp4", folder / "hard.mp4");
  std::filesystem::create_symlink("set.mp4", folder / "soft.mp4");
  for (const char* name : {"set.mp4", "./set.mp4", "hard.mp4", "soft.mp4"}) {
    check_refused_whole(
        folder, std::string("analyse set.mp4 --overlay ") + name, kBadUsage, "input");
    check_refused_whole(folder, std::string("analyse set.mp4 --csv ") + name, kBadUsage, "input");
  }
  CHECK(slurp(folder / "set.mp4") == bytes);
}

TEST_CASE("two results never go to one place", "[tools][bad-input]") {
  const Folder folder;
  check_refused_whole(folder, "analyse none.mp4 --csv - --json -", kBadUsage, "--json");
  check_refused_whole(folder, "analyse none.mp4 --csv a --json ./a", kBadUsage, "--json");
}

TEST_CASE("a session file that cannot be read is unreadable", "[tools][bad-input]") {
  const Folder folder;
  spill(folder / "text.h5", "no session");
  check_refused_whole(folder, "show missing.h5", kUnreadable, "missing.h5");
  check_refused_whole(folder, "show text.h5 --csv out/a.csv", kUnreadable, "text.h5");
}

TEST_CASE("a full disk is told", "[tools][bad-input]") {
  const Folder folder;
  const Outcome outcome =
      run_kinetics(folder, "analyse " + shared_disc_clip() + " --csv /dev/full");
  CHECK(outcome.status == 1);
  CHECK_THAT(outcome.err, Contains("/dev/full") && Contains("No space left"));
  CHECK(lines_in(outcome.err) == 1);
  CHECK(outcome.out.empty());
}
