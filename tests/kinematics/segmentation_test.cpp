// Which movements are reps. The motions are made piece by piece in tests/support/lifts; what a rep
// is follows from the definition in libkinetics/kinematics/reps.h. Common practice, no source, for
// what lifters do around a set.
#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

SetTable reps_of(const Lift& lift, const Filming& filming = {}) {
  return find_reps(estimate_motion(filmed(lift, filming)));
}

}  // namespace

TEST_CASE("a walk-out, five squats and a re-rack are five reps", "[kinematics]") {
  Lift lift(1.40);
  lift.rest(2.0).carry(0.08, 0.0, 0.8).rest(0.5).carry(0.0, 0.5, 1.5).sway(2.0, 0.004, 0.6);
  for (int i = 0; i < 5; ++i) {
    lift.move(-0.6, 1.4).rep(0.6, 1.0 + 0.1 * i).sway(1.5, 0.003, 0.7);
  }
  lift.carry(0.0, -0.5, 1.5).rest(0.5).carry(-0.08, 0.0, 0.8).rest(2.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 5);
  for (const Rep& rep : table.reps) CHECK(rep.kind == RepKind::kFull);
}

TEST_CASE("a dead-start deadlift has no eccentric before its first rep", "[kinematics]") {
  Lift lift;
  lift.rest(2.0);
  for (int i = 0; i < 3; ++i) lift.rep(0.55, 1.2).rest(0.8).move(-0.55, 1.0).rest(1.0);
  const SetTable table = reps_of(lift);
  REQUIRE(table.reps.size() == 3);
  CHECK_FALSE(table.reps[0].eccentric_s.ok());
  CHECK(table.reps[0].eccentric_s.reason() == Reason::kNotApplicable);
}

TEST_CASE("a disc carried to the bar and left there is no rep", "[kinematics]") {
  Lift lift;
  lift.rest(2.0).carry(0.7, 0.9, 1.5).rest(8.0);
  CHECK(reps_of(lift).reps.empty());
}
