// Which movements are reps. The motions are made piece by piece in tests/support/lifts; what a rep
// is follows from the definition in libkinetics/kinematics/reps.h. What lifters, loaders and
// passers-by do around a set is common practice, no source.
#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

SetTable reps_of(const Lift& lift, const Filming& filming = {}, const RepOptions& options = {}) {
  return find_reps(estimate_motion(filmed(lift, filming)), options);
}

// Every rep found at its place, all of them full, and within the time the velocity takes to pass
// the threshold with 0.5 mm of noise: 30 ms at 60 frames per second.
void check_found(const SetTable& table, const Lift& lift) {
  const std::vector<TrueRep> truth = lift.truth();
  REQUIRE(table.reps.size() == truth.size());
  for (std::size_t i = 0; i < truth.size(); ++i) {
    CAPTURE(i);
    CHECK(table.reps[i].kind == RepKind::kFull);
    CHECK(table.reps[i].start_s == Approx(truth[i].start_s).margin(0.045));
    CHECK(table.reps[i].end_s == Approx(truth[i].end_s).margin(0.045));
  }
}

bool flagged(const Rep& rep, FlagKind flag) {
  return std::find(rep.flags.begin(), rep.flags.end(), flag) != rep.flags.end();
}

Lift unracked() {
  Lift lift(1.40);
  lift.rest(2.0).carry(0.08, 0.02, 0.8).rest(0.5).carry(0.0, 0.5, 1.5).sway(2.0, 0.004, 0.6);
  return lift;
}

}  // namespace

TEST_CASE("squats between a walk-out and a re-rack are all the reps there are", "[kinematics]") {
  const double rate_hz = GENERATE(30.0, 60.0, 240.0);
  CAPTURE(rate_hz);
  Lift lift = unracked();
  for (int i = 0; i < 5; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.0 + 0.2 * i).sway(1.5, 0.002, 0.7);
  lift.carry(0.0, -0.5, 1.5).rest(0.5).carry(-0.08, 0.0, 0.8).rest(2.0);
  check_found(reps_of(lift, {.rate_hz = rate_hz}), lift);
}

TEST_CASE("a rise of 15 cm off the hooks is no rep", "[kinematics]") {
  Lift lift(1.3);
  lift.rest(2.0).carry(0.15, 0.03, 1.0).rest(0.4).carry(-0.02, 0.6, 1.5).sway(2.0, 0.003, 0.6);
  lift.move(-0.5, 1.3).rep(0.5, 1.1).rest(1.5).carry(0.02, -0.6, 1.5).carry(-0.15, 0.0, 1.0);
  lift.rest(2.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("an unrack and a walk-out alone give no rep", "[kinematics]") {
  Lift lift = unracked();
  lift.carry(0.0, -0.5, 1.5).carry(-0.08, 0.0, 0.8).rest(2.0);
  CHECK(reps_of(lift).reps.empty());
}

TEST_CASE("a sit on the box of any length, rocking, belongs to no rep", "[kinematics]") {
  const double sit_s = GENERATE(0.4, 1.0, 3.0, 10.0);
  CAPTURE(sit_s);
  Lift lift = unracked();
  for (int i = 0; i < 3; ++i) {
    lift.move(-0.5, 1.5).sway(sit_s, 0.008, 0.8).rep(0.5, 0.8).sway(1.5, 0.003, 0.7);
  }
  lift.rest(1.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("a leap beyond any lift is no rep, and is said", "[kinematics]") {
  Lift lift = unracked();
  for (int i = 0; i < 4; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.0).sway(1.5, 0.002, 0.7);
  lift.move(-1.2, 1.4).move(1.2, 0.3).rest(2.0);
  const SetTable table = reps_of(lift);
  check_found(table, lift);
  REQUIRE_FALSE(table.notes.empty());
  CHECK(table.notes.front().text.find("beyond any lift") != std::string::npos);
}

TEST_CASE("what leaps again and again is not the bar: nothing of it is counted", "[kinematics]") {
  Lift lift(1.4);
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) {
    lift.move(-0.6, 1.4).move(0.6, 1.0).rest(1.0).move(-1.2, 0.4).move(1.2, 0.3).rest(1.0);
  }
  const SetTable table = reps_of(lift);
  CHECK(table.reps.empty());
  REQUIRE_FALSE(table.notes.empty());
  CHECK(table.notes.front().text.find("--seed") != std::string::npos);
}

TEST_CASE("a paused bench press has its pause", "[kinematics]") {
  Lift lift(0.5);
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) lift.move(-0.35, 1.5).rest(1.0).rep(0.35, 1.2).rest(1.2);
  const SetTable table = reps_of(lift);
  check_found(table, lift);
  for (const Rep& rep : table.reps) {
    // Minimum jerk passes 0.02 m/s 60 to 80 ms inside either end, and the pause reaches so far.
    CHECK(rep.pause_s.value() == Approx(1.14).margin(0.06));
    CHECK(rep.eccentric_velocity_mps.value() < -0.2);
  }
}

TEST_CASE("touch-and-go reps part without a pause", "[kinematics]") {
  Lift lift(0.5);
  lift.rest(2.0);
  for (int i = 0; i < 8; ++i) lift.move(-0.38, 0.7).rep(0.38, 0.6);
  lift.rest(2.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("a dead-start deadlift has no eccentric before its first rep", "[kinematics]") {
  Lift lift;
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) lift.rep(0.55, 1.2).rest(0.8).move(-0.55, 1.0).rest(1.0);
  const SetTable table = reps_of(lift);
  check_found(table, lift);
  CHECK_FALSE(table.reps[0].eccentric_s.ok());
  CHECK(table.reps[0].eccentric_s.reason() == Reason::kNotApplicable);
  CHECK(table.reps[1].eccentric_s.ok());
}

TEST_CASE("a single deadlift counts, lowered or filmed to the lockout only", "[kinematics]") {
  const bool lowered = GENERATE(true, false);
  CAPTURE(lowered);
  Lift lift;
  lift.rest(1.5).rep(0.6, 2.2, Shape::kLateRush).rest(1.0);
  if (lowered) lift.move(-0.6, 1.2).rest(1.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("a dropped deadlift that bounces is one rep each", "[kinematics]") {
  Lift lift;
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) {
    lift.rep(0.55, 1.2).rest(0.6).move(-0.55, 0.335, Shape::kFreeFall);
    // Off the floor at 1.5 m/s and back: 0.115 m high in 0.306 s.
    lift.bounce(0.115).bounce(0.02).rest(1.5);
  }
  const SetTable table = reps_of(lift);
  CHECK(table.reps.size() == 3);
}

TEST_CASE("a press from the shoulders and a row from the floor are found", "[kinematics]") {
  Lift press(1.3);
  press.rest(1.0).carry(0.05, 0.0, 0.7).carry(0.0, 0.4, 1.4).rest(1.0);
  for (int i = 0; i < 4; ++i) press.rep(0.5, 1.1).rest(0.8).move(-0.5, 1.0).rest(0.4);
  press.carry(0.0, -0.4, 1.4).carry(-0.05, 0.0, 0.6).rest(1.0);
  check_found(reps_of(press), press);

  Lift row;
  row.rest(1.5);
  for (int i = 0; i < 5; ++i) row.rep(0.45, 0.7).move(-0.45, 0.7).rest(0.5);
  row.rest(1.0);
  check_found(reps_of(row), row);
}

TEST_CASE("rows from the hang do not count the lift off the floor", "[kinematics]") {
  Lift lift;
  lift.rest(1.5).move(0.35, 1.2).rest(1.5);
  for (int i = 0; i < 5; ++i) lift.rep(0.40, 0.7).move(-0.40, 0.8).rest(0.4);
  lift.move(-0.35, 1.0).rest(1.5);
  check_found(reps_of(lift), lift);
}

TEST_CASE("a grinding rep that stands still or slips is one rep", "[kinematics]") {
  const Shape shape = GENERATE(Shape::kStall, Shape::kSlips, Shape::kTwoHumps);
  const double length_s = GENERATE(2.0, 3.5, 5.0);
  CAPTURE(static_cast<int>(shape), length_s);
  Lift lift = unracked();
  lift.move(-0.55, 1.6).rep(0.55, 1.2).rest(2.0).move(-0.55, 1.6).rep(0.55, length_s, shape);
  lift.rest(2.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("plates being changed are no reps", "[kinematics]") {
  Lift lift;
  // A disc is carried in and put on the sleeve; the loaders knock the bar about.
  lift.rest(2.0).carry(0.7, 0.9, 1.5).rest(3.0).sway(2.0, 0.012, 1.5);
  lift.carry(0.05, 0.05, 0.4).carry(-0.05, -0.05, 0.3).rest(4.0);
  CHECK(reps_of(lift).reps.empty());
}

TEST_CASE("a disc lifted straight from the side and carried off again is no rep", "[kinematics]") {
  Lift lift;
  lift.rest(2.0).carry(0.8, 0.7, 1.3).rest(2.0).carry(-0.8, -0.7, 1.4).rest(3.0);
  CHECK(reps_of(lift).reps.empty());
}

TEST_CASE("passers-by between reps change nothing", "[kinematics]") {
  Lift lift = unracked();
  std::vector<std::pair<double, double>> hidden;
  for (int i = 0; i < 4; ++i) {
    lift.move(-0.6, 1.4).rep(0.6, 1.1);
    hidden.emplace_back(lift.length_s() + 0.5, lift.length_s() + 1.3);
    lift.sway(2.0, 0.002, 0.7);
  }
  const double t = lift.length_s();
  lift.rest(2.0);
  check_found(reps_of(lift, {.hidden = hidden, .jumps = {{t + 0.5, 0.4}, {t + 0.9, -0.3}}}), lift);
}

TEST_CASE("a few wild sightings within a rep are left out", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4);
  const double t = lift.length_s();
  lift.rep(0.6, 1.2).rest(2.0);
  const SetTable table =
      reps_of(lift, {.jumps = {{t + 0.4, 0.3}, {t + 0.417, 0.3}, {t + 0.8, -0.5}}});
  check_found(table, lift);
  CHECK(table.reps[0].mean_velocity_mps.value() == Approx(lift.truth()[0].mean_mps).margin(0.02));
}

TEST_CASE("a squat that fails half way up is kept and called failed", "[kinematics]") {
  Lift lift = unracked();
  for (int i = 0; i < 2; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.3).rest(1.5);
  lift.move(-0.6, 1.4).move(0.25, 1.2).move(-0.25, 1.0).rest(3.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 3);
  CHECK(table.reps[0].kind == RepKind::kFull);
  CHECK(table.reps[2].kind == RepKind::kFailed);
  CHECK(flagged(table.reps[2], FlagKind::kFailed));
}

TEST_CASE("a single that is pinned at the bottom is failed", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.6).move(0.2, 1.5).move(-0.28, 0.8).rest(3.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 1);
  CHECK(table.reps[0].kind == RepKind::kFailed);
}

TEST_CASE("a half squat among full ones is partial", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4).move(0.6, 1.2).rest(1.5).move(-0.3, 1.0).move(0.3, 0.8).rest(1.5);
  lift.move(-0.6, 1.4).move(0.6, 1.3).rest(2.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 3);
  CHECK(table.reps[1].kind == RepKind::kPartial);
  CHECK(table.reps[2].kind == RepKind::kFull);
}

TEST_CASE("a rep cut off by the clip's end is not counted, and said", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.5).move(-0.6, 1.4).move(0.6, 1.2);
  Filming filming;
  BarPath path = filmed(lift, filming);
  const double cut_s = lift.length_s() - 0.5;
  std::erase_if(path.points, [&](const PathPoint& p) { return p.t_s > cut_s; });
  const SetTable table = find_reps(estimate_motion(path));
  CHECK(table.reps.size() == 1);
  REQUIRE(table.notes.size() == 1);
  CHECK_THAT(table.notes[0].text, Catch::Contains("ends in the middle of a rise"));
}

TEST_CASE("a rep that the clip's start cuts is not counted, and said", "[kinematics]") {
  Lift lift;
  lift.move(0.6, 1.2).rest(1.5).move(-0.6, 1.4).rep(0.6, 1.2).rest(2.0);
  BarPath path = filmed(lift);
  std::erase_if(path.points, [](const PathPoint& p) { return p.t_s < 0.5; });
  const SetTable table = find_reps(estimate_motion(path));
  CHECK(table.reps.size() == 1);
  REQUIRE(table.notes.size() == 1);
  CHECK_THAT(table.notes[0].text, Catch::Contains("starts in the middle of a rise"));
}

TEST_CASE("a clip that begins in the hole of the first squat still has all its reps",
          "[kinematics]") {
  Lift lift(0.8);
  lift.rest(0.6).rep(0.6, 1.2).rest(1.0);
  for (int i = 0; i < 2; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.0);
  check_found(reps_of(lift), lift);
}

TEST_CASE("a long rest begins a new set", "[kinematics]") {
  Lift lift = unracked();
  for (int set = 0; set < 2; ++set) {
    for (int i = 0; i < 2; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.5);
    lift.sway(45.0, 0.003, 0.5);
  }
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 4);
  CHECK(table.reps[1].set == 1);
  CHECK(table.reps[2].set == 2);
  CHECK(table.reps[2].number == 1);
}

TEST_CASE("a lifter with a short range and one with a long share a clip", "[kinematics]") {
  Lift lift(1.2);
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) lift.move(-0.30, 1.0).rep(0.30, 0.8).rest(1.2);
  lift.sway(60.0, 0.003, 0.5);
  for (int i = 0; i < 3; ++i) lift.move(-0.65, 1.4).rep(0.65, 1.2).rest(1.2);
  check_found(reps_of(lift), lift);
}

TEST_CASE("too much hidden is not measured; a blink only widens", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.5).move(-0.6, 1.4);
  const double t = lift.length_s();
  lift.rep(0.6, 1.2).rest(2.0);
  const SetTable clear = reps_of(lift);
  REQUIRE(clear.reps.size() == 2);

  const SetTable blink = reps_of(lift, {.hidden = {{t + 0.10, t + 0.28}}});
  REQUIRE(blink.reps.size() == 2);
  REQUIRE(blink.reps[1].mean_velocity_mps.ok());
  CHECK(blink.reps[1].peak_velocity_mps.ok());
  CHECK(blink.reps[1].mean_velocity_mps.sigma() >= clear.reps[1].mean_velocity_mps.sigma());

  const SetTable covered = reps_of(lift, {.hidden = {{t - 0.1, t + 0.7}}});
  REQUIRE(covered.reps.size() == 2);
  REQUIRE_FALSE(covered.reps[1].mean_velocity_mps.ok());
  CHECK(covered.reps[1].mean_velocity_mps.reason() == Reason::kDiscHidden);
  CHECK(flagged(covered.reps[1], FlagKind::kNotMeasured));
}

TEST_CASE("a picture that shows the bar where it was one before makes no peak", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4);
  const double t = lift.length_s();
  lift.rep(0.6, 1.2).rest(2.0);
  BarPath path = filmed(lift, {.rate_hz = 25.0});
  for (std::size_t i = 1; i < path.points.size(); ++i) {
    const double since_s = path.points[i].t_s - t;
    const bool again = std::abs(since_s - 0.3) < 0.02 || std::abs(since_s - 0.6) < 0.02;
    if (again) path.points[i].y_m = path.points[i - 1].y_m;
  }
  const SetTable table = find_reps(estimate_motion(path), {});
  REQUIRE(table.reps.size() == 1);
  const TrueRep truth = lift.truth().front();
  const Measured& peak = table.reps[0].peak_velocity_mps;
  CHECK(std::abs(peak.value() - truth.peak_mps) < 2.5 * peak.sigma());
  CHECK(peak.value() == Approx(truth.peak_mps).margin(0.03));
  CHECK(table.reps[0].rom_m.value() == Approx(0.6).margin(0.004));
}

TEST_CASE("a rise on whose way something else is taken for the bar is not measured",
          "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.5).move(-0.6, 1.4);
  const double t = lift.length_s();
  lift.rep(0.6, 1.2).rest(1.5).move(-0.6, 1.4).rep(0.6, 1.2).rest(2.0);
  // From then on a thing that goes along with the bar, 25 cm away from it.
  const bool sideways = GENERATE(false, true);
  CAPTURE(sideways);
  BarPath path = filmed(lift);
  for (PathPoint& p : path.points) {
    if (p.t_s > t + 0.7) (sideways ? p.x_m : p.y_m) += 0.25;
  }
  const SetTable table = find_reps(estimate_motion(path), {});
  REQUIRE(table.reps.size() == 3);
  CHECK(table.reps[0].rom_m.value() == Approx(0.6).margin(0.005));
  REQUIRE_FALSE(table.reps[1].rom_m.ok());
  CHECK(table.reps[1].rom_m.reason() == Reason::kDiscHidden);
  CHECK(flagged(table.reps[1], FlagKind::kNotMeasured));
  CHECK(table.reps[2].rom_m.value() == Approx(0.6).margin(0.005));
}

TEST_CASE("a rise that is faster than any bar for a moment is not measured", "[kinematics]") {
  Lift lift = unracked();
  lift.move(-0.6, 1.4);
  const double t = lift.length_s();
  lift.rep(0.6, 1.2).rest(1.5).move(-0.6, 1.4).rep(0.6, 1.2).rest(2.0);
  // Smoothly 40 cm higher within some pictures: on average no faster than a lift.
  BarPath path = filmed(lift, {.rate_hz = 120.0});
  for (PathPoint& p : path.points) p.y_m += 0.2 * (1.0 + std::tanh((p.t_s - t - 0.6) / 0.05));
  const SetTable table = find_reps(estimate_motion(path), {});
  REQUIRE(table.reps.size() == 2);
  CHECK_FALSE(table.reps[0].peak_velocity_mps.ok());
  CHECK_FALSE(table.reps[0].mean_velocity_mps.ok());
  CHECK(table.reps[1].rom_m.value() == Approx(0.6).margin(0.005));
}

TEST_CASE("a bar that never moves gives no rep", "[kinematics]") {
  Lift lift;
  lift.sway(20.0, 0.004, 0.6);
  CHECK(reps_of(lift).reps.empty());
}

TEST_CASE("a rise shorter and yet faster than the set's others is doubted aloud", "[kinematics]") {
  Lift lift = unracked();
  for (int i = 0; i < 3; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.0).sway(1.5, 0.002, 0.7);
  lift.move(-0.25, 0.6).rep(0.25, 0.2).rest(1.5);
  lift.move(-0.6, 1.4).rep(0.6, 1.1).rest(2.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 5);
  REQUIRE(table.notes.size() == 1);
  CHECK(table.notes[0].kind == NoteKind::kCaution);
  CHECK(table.notes[0].text.find("Set 1 rep 4 rose 25 cm") == 0);
}

TEST_CASE("a set that tires to half its speed, and fails, is not doubted", "[kinematics]") {
  Lift lift = unracked();
  for (int i = 0; i < 5; ++i) lift.move(-0.6, 1.4).rep(0.6, 0.7 + 0.25 * i).sway(1.5, 0.002, 0.7);
  lift.move(-0.6, 1.4).rep(0.25, 1.2).move(-0.3, 0.8).rest(2.0);
  CHECK(reps_of(lift).notes.empty());
}
