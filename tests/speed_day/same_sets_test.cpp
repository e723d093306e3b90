// Two cameras on one bar. Rises are made up at known times; what falls together follows by hand.
#include "libkinetics/speed_day/same_sets.h"

#include <random>

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;
using namespace kinetics;

namespace {

/// An hour of sets of three at odd times; seen by a camera from `begins_s` on.
BarWork hour(std::size_t recording, unsigned seed, double seen_later_s, double noise_s) {
  std::mt19937 random(seed);
  std::mt19937 noise(99);
  BarWork work;
  work.recording = recording;
  work.to_s = 3600.0;
  for (double t = 30.0; t < 3500.0; t += 60.0 + static_cast<double>(random() % 40)) {
    for (int i = 0; i < 3; ++i) {
      Rep rep;
      rep.start_s =
          t + 3.1 * i + seen_later_s + noise_s * (static_cast<double>(noise() % 200) / 100.0 - 1.0);
      rep.end_s = rep.start_s + 1.0;
      work.reps.push_back(rep);
    }
  }
  return work;
}

std::vector<Recording> two_cameras() {
  std::vector<Recording> out(2);
  out[0].name = "left.mp4";
  out[1].name = "right.mp4";
  out[1].camera = 1;
  return out;
}

}  // namespace

TEST_CASE("cameras on one bar are lined up by the rhythm of the rises", "[speed_day]") {
  const double off_s = GENERATE(0.0, -47.3, 3605.2);
  std::vector<Recording> recordings = two_cameras();
  const std::vector<BarWork> work{hour(0, 5, 0.0, 0.0), hour(1, 5, off_s, 0.1)};
  Notes notes;
  line_up_cameras(recordings, work, notes);
  CHECK_THAT(recordings[1].begins_s, WithinAbs(-off_s, 0.1));
  CHECK(recordings[0].begins_s == 0.0);
  CHECK(notes.size() == 1);
}

TEST_CASE("cameras on different bars keep their clocks", "[speed_day]") {
  const unsigned seed = GENERATE(6U, 7U, 8U, 9U, 10U);
  std::vector<Recording> recordings = two_cameras();
  const std::vector<BarWork> work{hour(0, 5, 0.0, 0.0), hour(1, seed, 0.0, 0.0)};
  Notes notes;
  line_up_cameras(recordings, work, notes);
  CHECK(recordings[1].begins_s == 0.0);
  CHECK(notes.empty());
}

TEST_CASE("a set that two cameras saw is one, from the better view", "[speed_day]") {
  const std::vector<Recording> recordings = two_cameras();
  std::vector<BarWork> work(2);
  work[1].recording = 1;
  const auto set = [](std::size_t w, double start_s, int reps, double radius_px) {
    FoundDaySet out;
    out.found.start_s = start_s;
    out.found.end_s = start_s + 10.0;
    out.found.reps = reps;
    out.found.disc_radius_px = radius_px;
    out.parts = {{w, 0, 1}};
    return out;
  };
  std::vector<FoundDaySet> sets{set(0, 10.0, 3, 60.0),
                                set(1, 10.2, 3, 80.0),
                                set(0, 50.0, 3, 60.0),
                                set(1, 50.1, 2, 80.0),
                                set(1, 90.0, 2, 80.0)};
  join_same_sets(sets, recordings, work);
  REQUIRE(sets.size() == 3);
  CHECK(sets[0].parts[0].work == 1);
  CHECK(sets[0].same_as == "left.mp4");
  CHECK(sets[1].parts[0].work == 0);
  CHECK(sets[1].same_as == "right.mp4");
  CHECK(sets[2].same_as.empty());
}
