// Which files make up a day, and when each began. The clips are made by the ffmpeg program, which
// writes the clock that each test asks for; where they belong follows from those clocks by hand.
#include "libkinetics/speed_day/recordings.h"

#include <filesystem>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"

using Catch::Contains;
using Catch::Matchers::WithinAbs;
using namespace kinetics;
using kinetics::testing::ffmpeg;
using kinetics::testing::Folder;
using kinetics::testing::spill;

namespace {

/// A clip of so many seconds whose container says when it was made (UTC); empty for no word on it.
/// Its title tells it from others like it.
void make(const Folder& folder, const std::string& name, int lasts_s, const std::string& created) {
  std::filesystem::create_directories(std::filesystem::path(folder / name).parent_path());
  ffmpeg(
      fmt::format("-y -f lavfi -i testsrc=size=64x48:rate=10:duration={} {} -metadata title='{}' "
                  "-c:v mpeg4 '{}'",
                  lasts_s,
                  created.empty() ? "" : "-metadata creation_time=" + created,
                  name,
                  folder / name));
}

std::vector<std::string> names(const Recordings& day) {
  std::vector<std::string> out;
  for (const Recording& r : day.files) out.push_back(r.name);
  return out;
}

}  // namespace

TEST_CASE("names sort as a person would sort them", "[speed_day]") {
  CHECK(name_before("clip 2.mp4", "clip 10.mp4"));
  CHECK_FALSE(name_before("clip 10.mp4", "clip 2.mp4"));
  CHECK(name_before("a", "a1"));
  CHECK(name_before("a01", "b0"));
  CHECK_FALSE(name_before("same", "same"));
  CHECK(name_before("x002", "x3"));
}

TEST_CASE("a recording that the phone split goes on in its next file", "[speed_day]") {
  const Folder folder;
  make(folder, "REC_2.mp4", 20, "2031-03-07T16:00:20Z");
  make(folder, "REC_1.mp4", 20, "2031-03-07T16:00:00Z");
  make(folder, "REC_3.mp4", 5, "2031-03-07T16:00:41Z");
  make(folder, "REC_4.mp4", 5, "2031-03-07T16:10:00Z");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(names(day) ==
          std::vector<std::string>{"REC_1.mp4", "REC_2.mp4", "REC_3.mp4", "REC_4.mp4"});
  CHECK(day.clock_known);
  CHECK_FALSE(day.files[0].goes_on);
  CHECK(day.files[1].goes_on);
  CHECK(day.files[2].goes_on);
  CHECK_FALSE(day.files[3].goes_on);
  CHECK_THAT(day.files[1].begins_s, WithinAbs(20.0, 0.2));
  CHECK_THAT(day.files[2].begins_s, WithinAbs(40.0, 0.4));
  CHECK_THAT(day.files[3].begins_s, WithinAbs(600.0, 0.1));
}

TEST_CASE("a camera that writes when a file ended is seen through by the lengths", "[speed_day]") {
  const Folder folder;
  make(folder, "a.mp4", 20, "2031-03-07T16:00:20Z");
  make(folder, "b.mp4", 8, "2031-03-07T16:00:28Z");
  make(folder, "c.mp4", 12, "2031-03-07T16:00:40Z");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(day.files.size() == 3);
  CHECK_THAT(day.files[1].begins_s, WithinAbs(20.0, 0.3));
  CHECK_THAT(day.files[2].begins_s, WithinAbs(28.0, 0.5));
  CHECK(day.files[2].goes_on);
}

TEST_CASE("a date and time in the name is the phone's own clock", "[speed_day]") {
  const Folder folder;
  make(folder, "VID_20310307_170500.mp4", 5, "");
  make(folder, "VID_20310307_171000.mp4", 5, "1970-01-01T00:00:00Z");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(day.files.size() == 2);
  CHECK(day.files[0].held_on == "2031-03-07");
  REQUIRE(day.start_s.has_value());
  CHECK_THAT(*day.start_s, WithinAbs(17.0 * 3600 + 5 * 60, 1e-6));
  CHECK_THAT(day.files[1].begins_s, WithinAbs(300.0, 1e-6));
}

TEST_CASE("a clip whose clock is of another day stands by its name", "[speed_day]") {
  const Folder folder;
  make(folder, "1.mp4", 5, "2031-03-07T16:00:00Z");
  make(folder, "2.mp4", 5, "2024-01-01T00:00:00Z");
  make(folder, "3.mp4", 5, "2031-03-07T16:20:00Z");
  make(folder, "4.mp4", 5, "2031-03-07T16:30:00Z");
  const Recordings day = find_recordings(folder.path().string());
  CHECK(names(day) == std::vector<std::string>{"1.mp4", "2.mp4", "3.mp4", "4.mp4"});
  CHECK(kinetics::testing::any_note_says(day.notes, "2.mp4 says 2024-01-01"));
}

TEST_CASE("without any clock the names give the order, and no time of day", "[speed_day]") {
  const Folder folder;
  make(folder, "set 10.mp4", 5, "");
  make(folder, "set 9.mp4", 5, "");
  const Recordings day = find_recordings(folder.path().string());
  CHECK(names(day) == std::vector<std::string>{"set 9.mp4", "set 10.mp4"});
  CHECK_FALSE(day.clock_known);
  CHECK_FALSE(day.start_s.has_value());
  CHECK(day.files[1].begins_s > day.files[0].begins_s + 30.0);
  CHECK_FALSE(day.files[1].goes_on);
}

TEST_CASE("folders and picture sizes tell cameras apart", "[speed_day]") {
  const Folder folder;
  make(folder, "left/a.mp4", 5, "2031-03-07T16:00:00Z");
  make(folder, "right/a.mp4", 5, "2031-03-07T16:00:01Z");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(day.files.size() == 2);
  CHECK(day.files[0].camera != day.files[1].camera);
  CHECK_THAT(day.files[1].begins_s, WithinAbs(1.0, 1e-6));
}

TEST_CASE("clips told in different zones stand by the instant, on the gym's clock", "[speed_day]") {
  const Folder folder;
  make(folder, "left/a.mp4", 5, "2031-03-07T16:00:10Z");
  // As one phone writes it: UTC, and beside it the gym's own time.
  std::filesystem::create_directories(folder.path() / "right");
  ffmpeg(
      "-y -f lavfi -i testsrc=size=64x48:rate=10:duration=5 -movflags use_metadata_tags "
      "-metadata creation_time=2031-03-07T16:00:00Z "
      "-metadata com.apple.quicktime.creationdate=2031-03-08T02:00:00+1000 -c:v mpeg4 '" +
      (folder / "right/b.mov") + "'");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(names(day) == std::vector<std::string>{"right/b.mov", "left/a.mp4"});
  CHECK_THAT(day.files[1].begins_s, WithinAbs(10.0, 1e-6));
  REQUIRE(day.start_s.has_value());
  CHECK_THAT(*day.start_s, WithinAbs(2.0 * 3600, 1e-6));
  CHECK(day.files[1].held_on == "2031-03-08");
}

TEST_CASE("what is no recording is passed over or said", "[speed_day]") {
  const Folder folder;
  make(folder, "a.mp4", 5, "2031-03-07T16:00:00Z");
  spill(folder / "broken.mp4", "not a clip");
  spill(folder / "sheet.csv", "lifter,lift,load\n");
  spill(folder / "notes.md", "x");
  spill(folder / ".hidden.mp4", "x");
  std::filesystem::create_directories(folder / "logbook");
  spill(folder / "logbook/x.mp4", "x");
  const Recordings day =
      find_recordings(folder.path().string(), {folder / "sheet.csv", folder / "logbook"});
  CHECK(names(day) == std::vector<std::string>{"a.mp4"});
  CHECK(kinetics::testing::any_note_says(day.notes, "broken.mp4"));
}

TEST_CASE("a copy of another file is left out, and said", "[speed_day]") {
  const Folder folder;
  make(folder, "a.mp4", 2, "2031-03-07T16:00:20Z");
  make(folder, "b.mp4", 2, "2031-03-07T16:00:40Z");
  std::filesystem::copy_file(folder / "a.mp4", folder / "a (1).mp4");
  const Recordings day = find_recordings(folder.path().string());
  REQUIRE(day.files.size() == 2);
  CHECK(day.files[1].name == "b.mp4");
  REQUIRE(day.notes.size() == 1);
  CHECK_THAT(day.notes[0].text, Contains("holds the same as") && Contains("a (1).mp4"));
}

TEST_CASE("a folder without a recording is refused", "[speed_day][bad-input]") {
  const Folder folder;
  CHECK_THROWS_WITH(find_recordings(folder.path().string()), Contains("no clip or log"));
}
