// What is remembered of a session: checked against the session it was made of.
#include "libkinetics/history/lifted_set.h"

#include <catch2/catch.hpp>

namespace kinetics {
namespace {

Rep rep_at(int number, double mean_load_kg) {
  Rep rep;
  rep.number = number;
  rep.mean_velocity_mps = Measured(0.7, 0.01);
  rep.mean_load_kg = Measured(mean_load_kg, 0.1);
  return rep;
}

Session two_reps() {
  Session session;
  session.provenance.held_on = "2031-03-07";
  session.options.plan = SetPlan{.lifter = "Odalys Brandt",
                                 .lift = "box squat",
                                 .box_height_m = 0.45,
                                 .stated_load_kg = 92.5,
                                 .set = 3,
                                 .start = "17:05"};
  session.reps = {rep_at(1, 100.3), rep_at(2, 100.4)};
  return session;
}

TEST_CASE("a set is remembered with its lifter, load, day and reps", "[history]") {
  const std::vector<LiftedSet> sets = lifted_sets(two_reps());
  REQUIRE(sets.size() == 1);
  CHECK(sets[0].lifter == "Odalys Brandt");
  CHECK(sets[0].day == "2031-03-07");
  CHECK(sets[0].stated_load_kg == 92.5);
  CHECK(sets[0].set == 3);
  CHECK(sets[0].accommodating.empty());
  REQUIRE(sets[0].reps.size() == 2);
  CHECK(sets[0].reps[1].mean_load_kg.value() == 100.4);
}

TEST_CASE("chains are remembered in the words of the sheet", "[history]") {
  Session session = two_reps();
  session.options.loading.load = BarLoad{};
  session.options.loading.load->chains.push_back(
      {.name = "heavy chain", .mass_kg_per_m = 3.8, .free_length_m = 1.6});
  CHECK(lifted_sets(session).at(0).accommodating == "2 x heavy chain");
}

TEST_CASE("a second set in one recording is a set of its own", "[history]") {
  Session session = two_reps();
  session.reps.push_back(rep_at(1, 100.5));
  const std::vector<LiftedSet> sets = lifted_sets(session);
  REQUIRE(sets.size() == 2);
  CHECK(sets[1].set == 4);
  CHECK(sets[1].reps.size() == 1);
}

TEST_CASE("without a sheet nobody is known to have lifted", "[history]") {
  Session session = two_reps();
  session.options.plan.reset();
  CHECK(lifted_sets(session).empty());
}

TEST_CASE("the usual load is the middle one of the full reps", "[history]") {
  LiftedSet set = lifted_sets(two_reps()).at(0);
  set.reps.push_back(set.reps.back());
  set.reps.back().mean_load_kg = Measured(90.0, 0.1);
  set.reps.back().kind = RepKind::kPartial;
  CHECK(usual_mean_load_kg(set) == Approx(100.4));
  set.reps.clear();
  CHECK(usual_mean_load_kg(set) == 92.5);
}

}  // namespace
}  // namespace kinetics
