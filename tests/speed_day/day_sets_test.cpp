// Sets out of the work of several stretches, files and cameras. What is right follows from the
// rules in day_sets.h and split_sets.h by hand.
#include "libkinetics/speed_day/day_sets.h"

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;
using namespace kinetics;

namespace {

Rep rep_at(double start_s, double lockout_m) {
  Rep rep;
  rep.start_s = start_s;
  rep.end_s = start_s + 1.0;
  rep.bottom_height_m = lockout_m - 0.6;
  rep.top_height_m = lockout_m;
  rep.rom_m = Measured(0.6, 0.001);
  return rep;
}

/// Reps three seconds apart.
BarWork work_at(double from_s, int reps, double lockout_m = 0.0) {
  BarWork work;
  work.from_s = from_s - 5.0;
  work.to_s = from_s + 3.0 * reps + 8.0;
  work.radius_px = 60.0;
  for (int i = 0; i < reps; ++i) work.reps.push_back(rep_at(from_s + 3.0 * i, lockout_m));
  return work;
}

Recording file(double begins_s, int camera = 0) {
  Recording out;
  out.begins_s = begins_s;
  out.camera = camera;
  return out;
}

}  // namespace

TEST_CASE("a rest of the bar ends a set, however short the time between", "[speed_day]") {
  const auto sets = find_day_sets({file(0.0)}, {work_at(10.0, 3), work_at(30.0, 2)}, {});
  REQUIRE(sets.size() == 2);
  // A dead stop on the floor is a rest too, but nobody could have taken over.
  CHECK(find_day_sets({file(0.0)}, {work_at(10.0, 3), work_at(23.0, 2)}, {}).size() == 1);
  CHECK(sets[0].found.reps == 3);
  CHECK(sets[1].found.reps == 2);
  CHECK_THAT(sets[1].found.start_s, WithinAbs(30.0, 1e-9));
}

TEST_CASE("a rest within one stretch ends a set too", "[speed_day]") {
  BarWork work = work_at(10.0, 4);
  for (std::size_t i = 2; i < 4; ++i) {
    work.reps[i].start_s += 12.0;
    work.reps[i].end_s += 12.0;
  }
  CHECK(find_day_sets({file(0.0)}, {work}, {}).size() == 1);
  work.rests = {{17.0, 26.0}};
  const auto sets = find_day_sets({file(0.0)}, {work}, {});
  REQUIRE(sets.size() == 2);
  REQUIRE(sets[1].parts.size() == 1);
  CHECK(sets[1].parts[0].first == 2);
  CHECK(sets[1].parts[0].last == 4);
}

TEST_CASE("a set goes on in the file that the phone began in its midst", "[speed_day]") {
  BarWork first = work_at(50.0, 2);
  BarWork second = work_at(1.0, 2);
  second.recording = 1;
  second.begins_at_rest = false;
  const auto sets = find_day_sets({file(0.0), file(56.0)}, {first, second}, {});
  REQUIRE(sets.size() == 1);
  CHECK(sets[0].found.reps == 4);
  REQUIRE(sets[0].parts.size() == 2);
  CHECK(sets[0].parts[1].work == 1);
  CHECK_THAT(sets[0].found.end_s, WithinAbs(61.0, 1e-9));
}

TEST_CASE("lockouts count from one zero within a view", "[speed_day]") {
  BarWork a = work_at(10.0, 2, 0.10);
  BarWork b = work_at(60.0, 2, 0.02);
  a.zero_m = 1.20;
  b.zero_m = 1.28;
  const auto sets = find_day_sets({file(0.0)}, {a, b}, {});
  REQUIRE(sets.size() == 2);
  CHECK_THAT(*sets[0].found.lockout_m, WithinAbs(1.30, 1e-9));
  CHECK_THAT(*sets[1].found.lockout_m, WithinAbs(1.30, 1e-9));
}

TEST_CASE("every camera has views of its own, and sets stand in time order", "[speed_day]") {
  BarWork a = work_at(100.0, 2);
  BarWork b = work_at(10.0, 2);
  BarWork c = work_at(300.0, 2);
  b.recording = 1;
  c.view = 2;
  const auto sets = find_day_sets({file(0.0, 0), file(20.0, 1)}, {a, c, b}, {});
  REQUIRE(sets.size() == 3);
  CHECK_THAT(sets[0].found.start_s, WithinAbs(30.0, 1e-9));
  CHECK(sets[0].found.view == 3);
  CHECK(sets[1].found.view == 1);
  CHECK(sets[2].found.view == 2);
}

TEST_CASE("of two discs that moved at once the one chosen first counts", "[speed_day]") {
  BarWork chosen = work_at(10.0, 3);
  BarWork other = work_at(10.4, 3);
  const auto sets = find_day_sets({file(0.0)}, {chosen, other}, {});
  REQUIRE(sets.size() == 1);
  CHECK(sets[0].found.reps == 3);
  REQUIRE(sets[0].parts.size() == 1);
  CHECK(sets[0].parts[0].work == 0);
}
