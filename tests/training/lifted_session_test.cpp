// One lifter's day out of its sets. The weighted mean and its error follow in closed form from the
// weights that lifted_session.h states (method of moments for the spread between reps, as in
// R. DerSimonian, N. Laird, Control Clin Trials 1986; 7:177-188, from memory).
#include "libkinetics/training/lifted_session.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using kinetics_test::made_set;

namespace {

LiftedSession only(const std::vector<LiftedSet>& sets) {
  const LiftedSessions out = lifted_sessions(sets);
  REQUIRE(out.sessions.size() == 1);
  return out.sessions.front();
}

}  // namespace

TEST_CASE("a session's mean weighs reps by their errors", "[training]") {
  LiftedSet set = made_set("2031-03-07", "Wenna Duarte", 80.0, {0.70, 0.70});
  set.reps[0].mean_velocity_mps = Measured(0.70, 0.01);
  set.reps[1].mean_velocity_mps = Measured(0.705, 0.02);
  const LiftedSession uneven = only({set});
  // Their spread is less than their errors explain: weights 1 / 0.01² and 1 / 0.02².
  CHECK_THAT(uneven.velocity_mps.value(), WithinAbs((4 * 0.70 + 0.705) / 5.0, 1e-12));
  CHECK_THAT(uneven.velocity_mps.sigma(), WithinAbs(1.0 / std::sqrt(12500.0), 1e-12));
  CHECK(uneven.rep_sigma_mps == 0.0);

  // Reps that differ by far more than their errors count alike: the mean's textbook error.
  const LiftedSession apart =
      only({made_set("2031-03-07", "Wenna Duarte", 80.0, {0.60, 0.70, 0.80}, 1e-6)});
  CHECK_THAT(apart.velocity_mps.value(), WithinAbs(0.70, 1e-6));
  CHECK_THAT(apart.velocity_mps.sigma(), WithinAbs(0.1 / std::sqrt(3.0), 1e-5));
  CHECK_THAT(apart.rep_sigma_mps, WithinAbs(0.1, 1e-6));
}

TEST_CASE("a session is the day's loading with the most reps, the heavier of two", "[training]") {
  const auto set = [](double load_kg, std::size_t reps) {
    return made_set("2031-03-07", "Wenna Duarte", load_kg, std::vector<double>(reps, 0.7));
  };
  const LiftedSession most = only({set(60, 5), set(80, 2), set(80, 2), set(80, 2), set(90, 1)});
  CHECK(most.stated_load_kg == 80.0);
  CHECK((most.sets == 3 && most.reps == 6));
  CHECK_THAT(most.rom_m.value_or(0.0), WithinAbs(0.5, 1e-12));
  CHECK(only({set(60, 4), set(80, 4)}).stated_load_kg == 80.0);
  CHECK(only({set(80, 4), set(60, 4)}).stated_load_kg == 80.0);
  // The same load with other chains is another loading.
  LiftedSet chained = set(80, 3);
  chained.accommodating = "2 x heavy chain";
  const LiftedSession straight = only({set(80, 2), set(80, 2), chained});
  CHECK(straight.set_up.accommodating.empty());
  CHECK(straight.reps == 4);
}

TEST_CASE("what is no full measured rep is counted and left out of the mean", "[training]") {
  LiftedSet set = made_set("2031-03-07", "Wenna Duarte", 80.0, {0.7, 0.7, 0.3, 0.2, 0.7});
  set.reps[1].mean_velocity_mps = Reason::kDiscHidden;
  set.reps[2].kind = RepKind::kPartial;
  set.reps[3].kind = RepKind::kFailed;
  const LiftedSession session = only({set});
  CHECK((session.reps == 2 && session.not_measured == 1));
  CHECK((session.partial == 1 && session.failed == 1));
  CHECK_THAT(session.velocity_mps.value(), WithinAbs(0.7, 1e-12));
  CHECK(session.slowed_sets == 0);

  for (LiftedRep& rep : set.reps) rep.mean_velocity_mps = Reason::kDiscHidden;
  CHECK_FALSE(only({set}).velocity_mps.ok());
}

TEST_CASE("a set counts as slowed only with certainty", "[training]") {
  const auto slowed = [](double last_mps, double sigma_mps) {
    return only({made_set("2031-03-07", "Wenna Duarte", 80, {0.8, last_mps}, sigma_mps)})
        .slowed_sets;
  };
  // 20 % below 0.8 m/s is 0.64; the difference's error is 1.28 times one rep's.
  CHECK(slowed(0.60, 0.01) == 1);
  CHECK(slowed(0.635, 0.01) == 0);
  CHECK(slowed(0.60, 0.05) == 0);
  CHECK(slowed(0.79, 0.001) == 0);
}

TEST_CASE("sessions stand by day, and sets without a day are told", "[training]") {
  LiftedSet undated = made_set("", "Wenna Duarte", 80.0, {0.7});
  const LiftedSessions out = lifted_sessions({made_set("2031-03-14", "Wenna Duarte", 80.0, {0.7}),
                                              made_set("2031-03-07", "wenna  duarte", 80.0, {0.7}),
                                              made_set("2031-03-07", "Bram Ostrander", 90.0, {0.7}),
                                              undated,
                                              undated});
  REQUIRE(out.sessions.size() == 3);
  CHECK(out.sessions[0].lifter == "Bram Ostrander");
  CHECK(in_iso(out.sessions[2].day) == "2031-03-14");
  REQUIRE(out.notes.size() == 1);
  CHECK_THAT(out.notes[0].text, Contains("2 sets are left out"));
}

TEST_CASE("two tape readings of one box are one set-up", "[training]") {
  const SetUp box{.bar = "straight bar", .box_height_m = 0.380, .accommodating = {}};
  CHECK(same_set_up(box, {.bar = "Straight  bar", .box_height_m = 0.385, .accommodating = {}}));
  CHECK_FALSE(same_set_up(box, {.bar = "straight bar", .box_height_m = 0.40, .accommodating = {}}));
  CHECK_FALSE(
      same_set_up(box, {.bar = "straight bar", .box_height_m = std::nullopt, .accommodating = {}}));
  CHECK_FALSE(same_set_up(box, {.bar = "cambered bar", .box_height_m = 0.38, .accommodating = {}}));
}

TEST_CASE("what is expected comes from the profile near its loads, else from the roster",
          "[training]") {
  Roster roster;
  roster.lifters.push_back({.name = "Wenna Duarte", .lifts = {}});
  roster.lifters[0].lifts.emplace_back();
  roster.lifters[0].lifts[0].lift = "box squat";
  roster.lifters[0].lifts[0].expected = {{.load_kg = 40.0, .velocity_mps = 1.5, .sigma_mps = 0.02},
                                         {.load_kg = 80.0, .velocity_mps = 0.9, .sigma_mps = 0.02}};
  std::vector<LiftedSet> sets;
  for (int i = 0; i < 6; ++i) {
    const double load_kg = 80.0 + 10.0 * i;
    sets.push_back(made_set("2031-03-07",
                            "Wenna Duarte",
                            load_kg,
                            {1.6 - 0.0075 * load_kg + (i % 2 == 0 ? 0.004 : -0.004)}));
    sets.back().set = i + 1;
  }
  const ClubProfiles profiles = fit_profiles(sets, &roster);
  const VelocityExpectation expected = profile_expectation(profiles, roster_expectation(roster));
  const SetUp bar{.bar = "straight bar", .box_height_m = std::nullopt, .accommodating = {}};
  const Measured inside = expected("wenna duarte", "box squat", bar, 100.0);
  CHECK_THAT(inside.value(), WithinAbs(0.85, 0.01));
  CHECK(inside.sigma() > 0.0);
  // More than a tenth below the lightest load lifted the line is not drawn out.
  CHECK_THAT(expected("Wenna Duarte", "box squat", bar, 60.0).value(), WithinAbs(1.2, 1e-9));
  CHECK_FALSE(expected("Wenna Duarte", "box squat", bar, 200.0).ok());
  CHECK_FALSE(expected("Sunniva Kell", "box squat", bar, 100.0).ok());
}
