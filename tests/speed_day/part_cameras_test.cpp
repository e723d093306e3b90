// Two cameras' clips in one folder. Rises are made up at known times, as a session has them; what
// belongs together follows by hand.
#include "libkinetics/speed_day/part_cameras.h"

#include <random>

#include <catch2/catch.hpp>

#include "tests/media/made_clip.h"

using Catch::Matchers::WithinAbs;
using kinetics_test::any_note_says;
using namespace kinetics;

namespace {

/// When rises begin in so many sets of two to five reps, by a lifter's own pace.
std::vector<double> session(unsigned seed, int sets) {
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  std::vector<double> out;
  double t_s = 20.0;
  for (int set = 0; set < sets; ++set) {
    const double pace_s = between(2.4, 3.8);
    const int reps = 2 + static_cast<int>(random() % 4);
    for (int rep = 0; rep < reps; ++rep, t_s += pace_s + between(-0.15, 0.15)) out.push_back(t_s);
    t_s += between(15.0, 45.0);
  }
  return out;
}

/// Of those rises what a camera saw that filmed from one time to another, by its own clock.
std::vector<double> seen(const std::vector<double>& rises, double from_s, double to_s) {
  std::mt19937 random(3);
  std::normal_distribution<double> error(0.0, 0.03);
  std::vector<double> out;
  for (const double t_s : rises) {
    if (t_s > from_s && t_s < to_s) out.push_back(t_s - from_s + error(random));
  }
  return out;
}

/// Files as they stand without a clock: one after the other, all of one camera.
std::vector<Recording> files(const std::vector<double>& lengths_s) {
  std::vector<Recording> out;
  double begins_s = 0.0;
  for (const double length_s : lengths_s) {
    Recording r;
    r.name = std::string(1, static_cast<char>('a' + out.size())) + ".mp4";
    r.begins_s = begins_s;
    r.lasts_s = length_s;
    out.push_back(r);
    begins_s += length_s + 120.0;
  }
  return out;
}

}  // namespace

TEST_CASE("two files that show the same lifts are two cameras'", "[speed_day]") {
  const std::vector<double> lifts = session(GENERATE(1U, 2U, 3U, 4U, 5U), GENERATE(4, 40));
  std::vector<Recording> day = files({2400.0, 2395.0});
  // An hour's difference between their clocks, or none at all, is as good.
  day[1].begins_s = GENERATE(2520.0, 3603.0, 0.0);
  Notes notes;
  part_by_rises(day, {seen(lifts, 0.0, 2400.0), seen(lifts, 2.5, 2397.5)}, notes);
  CHECK(day[0].camera == 0);
  CHECK(day[1].camera == 1);
  CHECK(day[0].begins_s == 0.0);
  CHECK_THAT(day[1].begins_s, WithinAbs(2.5, 0.1));
  REQUIRE(notes.size() == 1);
  CHECK(any_note_says(notes, "a.mp4 and b.mp4 show the same lifts"));
  CHECK(any_note_says(notes, "a folder of their own"));
}

TEST_CASE("of two cameras whose files were split each goes on in its own", "[speed_day]") {
  const std::vector<double> lifts = session(7, 60);
  std::vector<Recording> day = files({1200.0, 1100.0, 1205.0, 1095.0});
  Notes notes;
  part_by_rises(day,
                {seen(lifts, 0.0, 1200.0),
                 seen(lifts, 1200.0, 2300.0),
                 seen(lifts, 3.0, 1208.0),
                 seen(lifts, 1208.0, 2303.0)},
                notes);
  CHECK(day[0].camera == 0);
  CHECK(day[1].camera == 0);
  CHECK(day[2].camera == 1);
  CHECK(day[3].camera == 1);
  CHECK_THAT(day[2].begins_s, WithinAbs(3.0, 0.1));
  CHECK_THAT(day[3].begins_s - day[1].begins_s, WithinAbs(8.0, 0.1));
  CHECK(any_note_says(notes, "(and 1 more)"));
}

TEST_CASE("files of one camera that follow each other stay one camera's", "[speed_day]") {
  int cautions = 0;
  for (unsigned seed = 0; seed < 300; ++seed) {
    const std::vector<double> lifts = session(100 + seed, 4 + static_cast<int>(seed % 60));
    const double middle_s = 0.5 * lifts.back();
    std::vector<Recording> day = files({middle_s, middle_s});
    Notes notes;
    part_by_rises(day, {seen(lifts, 0.0, middle_s), seen(lifts, middle_s, 1e6)}, notes);
    CAPTURE(seed);
    CHECK(day[1].camera == 0);
    cautions += notes.empty() ? 0 : 1;
  }
  // Nothing is lost by one; but who is warned in vain stops reading.
  CHECK(cautions <= 3);
}

TEST_CASE("where only some lifts are shared a caution tells what to do", "[speed_day]") {
  const std::vector<double> lifts = session(11, 40);
  std::vector<Recording> day = files({1200.0, 1200.0});
  Notes notes;
  part_by_rises(day, {seen(lifts, 0.0, 700.0), seen(lifts, 450.0, 1500.0)}, notes);
  REQUIRE(notes.size() == 1);
  CHECK(notes[0].kind == NoteKind::kCaution);
  CHECK(any_note_says(notes, "a.mp4 and b.mp4"));
  CHECK(day[1].camera == 0);
}

TEST_CASE("one set alone does not tell two cameras apart", "[speed_day]") {
  const std::vector<double> lifts = session(12, 1);
  std::vector<Recording> day = files({60.0, 60.0});
  Notes notes;
  part_by_rises(day, {seen(lifts, 0.0, 60.0), seen(lifts, 1.0, 61.0)}, notes);
  CHECK(day[1].camera == 0);
  CHECK(notes.empty());
}
