// The coach's corrections on file: what was written stays, whatever is added. The form of a line is
// our own and is told in the file itself.
#include "libkinetics/speed_day/assignments.h"

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"

using Catch::Contains;
using Catch::Matchers::WithinAbs;
using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;

TEST_CASE("a file that is not there holds no corrections", "[speed_day]") {
  const Folder folder;
  CHECK(read_assignments(folder / "none.txt").empty());
}

TEST_CASE("what is added is read back to the tenth of a second", "[speed_day]") {
  const Folder folder;
  const std::string path = folder / "day.rows.txt";
  add_assignments(path, {{"cam a/day at noon.mp4", 3754.26, 7}, {"b.mp4", 59.97, {}}});
  const auto read = read_assignments(path);
  REQUIRE(read.size() == 2);
  CHECK(read[0].recording == "cam a/day at noon.mp4");
  CHECK_THAT(read[0].at_s, WithinAbs(3754.3, 1e-9));
  CHECK(read[0].row == 7);
  CHECK_THAT(read[1].at_s, WithinAbs(60.0, 1e-9));
  CHECK_FALSE(read[1].row.has_value());
}

TEST_CASE("a second word on a set keeps the first behind a mark", "[speed_day]") {
  const Folder folder;
  const std::string path = folder / "day.rows.txt";
  spill(path, "# by hand\n\nday.mp4 at 0:01:00 is row 3  # sure\nday.mp4 at 0:02:00 is row 4\n");
  add_assignments(path, {{"day.mp4", 62.0, 5}});
  const std::string text = slurp(path);
  CAPTURE(text);
  CHECK_THAT(text, Contains("# by hand\n"));
  CHECK_THAT(text, Contains("# before: day.mp4 at 0:01:00 is row 3  # sure\n"));
  const auto read = read_assignments(path);
  REQUIRE(read.size() == 2);
  CHECK(read[0].row == 4);
  CHECK(read[1].row == 5);
}

TEST_CASE("a word taken back is kept behind a mark, and the others hold", "[speed_day]") {
  const Folder folder;
  const std::string path = folder / "day.rows.txt";
  add_assignments(path, {{"day.mp4", 60.0, 3}, {"day.mp4", 120.0, 4}, {"b.mp4", 60.0, 5}});
  drop_assignment(path, "day.mp4", 61.5);
  CHECK_THAT(slurp(path), Contains("# before: day.mp4 at 0:01:00.0 is row 3\n"));
  const auto read = read_assignments(path);
  REQUIRE(read.size() == 2);
  CHECK(read[0].row == 4);
  CHECK(read[1].row == 5);
  drop_assignment(folder / "none.txt", "day.mp4", 61.5);
  CHECK(read_assignments(folder / "none.txt").empty());
}

TEST_CASE("a line that says nothing is refused by its number", "[speed_day][bad-input]") {
  const Folder folder;
  const auto line = GENERATE("day.mp4 is row 3",
                             "day.mp4 at 1:75:00 is row 3",
                             "day.mp4 at 0:01:00 is row",
                             "day.mp4 at 99999:01:00 is row 3",
                             "\x01\x02");
  spill(folder / "day.rows.txt", std::string("# fine\n") + line + "\n");
  CHECK_THROWS_WITH(read_assignments(folder / "day.rows.txt"), Contains("day.rows.txt:2"));
}

TEST_CASE("what is typed names a set and a row, or nobody", "[speed_day]") {
  CHECK(parse_assignment("5=7").set == 5);
  CHECK(parse_assignment("5=7").row == 7);
  CHECK(parse_assignment(" 12 = row 30 ").row == 30);
  CHECK_FALSE(parse_assignment("5=nobody").row.has_value());
  const auto typed = GENERATE("", "5", "=7", "5=", "5=x", "-1=2", "5=7=9", "5=7777777");
  CHECK_THROWS_AS(parse_assignment(typed), Error);
}
