// What goes on the bar next time, against sums done by hand: shares of the best single, discs of a
// named set, and chain that hangs between floor and sleeve. The series of shares and the rule are
// common practice (wave.h, adjust.h), no source.
#include "libkinetics/training/next_loading.h"

#include <string>
#include <utility>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using kinetics_test::day;
using kinetics_test::made_set;

namespace {

const std::string kGear = R"(
[[bar]]
name = "straight bar"
mass_kg = 20
[[bar]]
name = "long bar"
mass_kg = 60
[collars]
mass_kg = 2.5
[[disc]]
mass_kg = 25
count = 4
[[disc]]
mass_kg = 10
count = 2
[[disc]]
mass_kg = 5
count = 2
[[disc]]
mass_kg = 2.5
count = 2
[[disc]]
mass_kg = 1.25
count = 2
[[chain]]
name = "heavy chain"
mass_kg_per_m = 5.7
length_m = 1.5
leader_length_cm = 50
count = 4
)";

const std::string kLifters = R"(
[[lifter]]
name = "Imre Castellan"
[[lifter.lift]]
lift = "box squat"
best_single_kg = 205
lockout_height_cm = 150
bottom_height_cm = 94
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "box squat"
best_single_kg = 170
lockout_height_cm = 144
bottom_height_cm = 94
)";

const std::string kWave = "[[wave]]\nlift = \"box squat\"\nfirst_day = 2031-02-14\n";

Roster roster_with(const std::string& more = {}) {
  return parse_roster(kGear + kLifters + more, "roster.toml");
}

TrainingPlan plan_of(const std::string& text) {
  return parse_training_plan(text, "plan.toml");
}

/// 0.75 ± 0.005 m/s whatever is asked.
Measured surely(const std::string&, const std::string&, const SetUp&, double) {
  return {0.75, 0.005};
}
VelocityExpectation always(CalendarDay) {
  return surely;
}

NextPlan planned(const std::string& plan,
                 const std::vector<LiftedSet>& history = {},
                 const NextOptions& options = {}) {
  return next_plan(plan_of(plan), roster_with(), history, always, options);
}

const NextLoading& of(const NextPlan& plan, const std::string& lifter) {
  REQUIRE(!plan.days.empty());
  for (const NextLoading& loading : plan.days.front().loadings) {
    if (loading.lifter == lifter) return loading;
  }
  FAIL("no loading for " << lifter);
  return plan.days.front().loadings.front();
}

/// Eight sets of two at one velocity.
void lift(std::vector<LiftedSet>& history, const std::string& on, double load_kg, double mps) {
  for (int i = 1; i <= 8; ++i) {
    history.push_back(made_set(on, "Odalys Brandt", load_kg, {mps, mps}, 0.01));
    history.back().set = i;
  }
}

std::string notes_in(const Notes& notes) {
  std::string out;
  for (const Note& note : notes) out += note.text + "\n";
  return out;
}

}  // namespace

TEST_CASE("the first session hangs half of each best single, lightest bar first", "[training]") {
  const NextPlan plan = planned(kWave);
  REQUIRE(plan.days.size() == 1);
  const LiftDay& session = plan.days[0];
  CHECK(in_iso(session.day) == "2031-02-14");
  REQUIRE(session.loadings.size() == 2);
  CHECK(session.loadings[0].lifter == "Odalys Brandt");
  const NextLoading& odalys = session.loadings[0];
  // 85 kg less bar and two collars: 30 kg a side.
  CHECK_THAT(odalys.wanted_kg, WithinAbs(85.0, 1e-9));
  CHECK_THAT(odalys.hung.total_kg, WithinAbs(85.0, 1e-9));
  CHECK(describe(odalys.hung.side) == "25 kg + 5 kg");
  CHECK((odalys.exact && odalys.collars));
  CHECK(odalys.adjustment.move == Move::kHold);
  for (const auto& kg : {odalys.bottom_kg, odalys.mean_kg, odalys.top_kg}) {
    CHECK_THAT(kg.value_or(0.0), WithinAbs(85.0, 1e-9));
  }
  // The expectation's error and that of a day, 0.03 m/s, together.
  CHECK_THAT(odalys.expected_mps.value(), WithinAbs(0.75, 1e-12));
  CHECK_THAT(odalys.expected_mps.sigma(), WithinAbs(0.030414, 1e-6));
  // 102.5 kg less 25 kg: 38.75 kg a side.
  CHECK(describe(session.loadings[1].hung.side) == "25 kg + 10 kg + 2.5 kg + 1.25 kg");
  CHECK(plan.rule == rule_in_words(AdjustRule{}));
}

TEST_CASE("the next session is the one after the last that anyone lifted", "[training]") {
  std::vector<LiftedSet> history;
  lift(history, "2031-02-14", 85.0, 0.75);
  CHECK(in_iso(planned(kWave, history).days[0].day) == "2031-02-21");
  lift(history, "2031-02-22", 90.0, 0.75);  // a day late
  const NextPlan next = planned(kWave, history);
  CHECK(in_iso(next.days[0].day) == "2031-02-28");
  CHECK_THAT(next.days[0].session.share, WithinAbs(0.55, 1e-12));
  // 93.5 kg wanted, 92.5 and 95 can be hung.
  CHECK_THAT(of(next, "Odalys Brandt").hung.total_kg, WithinAbs(92.5, 1e-9));
  CHECK_FALSE(of(next, "Odalys Brandt").exact);

  const NextOptions that_day{.day = day("2031-03-14"), .lift = std::nullopt};
  CHECK(in_iso(planned(kWave, history, that_day).days[0].day) == "2031-03-14");
  lift(history, "2031-03-14", 100.0, 0.75);
  const NextPlan over = planned(kWave, history);
  CHECK(over.days.empty());
  CHECK_THAT(notes_in(over.notes), Contains("no session left in the plan"));
}

TEST_CASE("measured velocities move the next load as the rule says", "[training]") {
  std::vector<LiftedSet> history;
  SECTION("fast twice: a step up") {
    lift(history, "2031-02-14", 85.0, 0.87);
    lift(history, "2031-02-21", 90.0, 0.87);
    const NextLoading next = of(planned(kWave, history), "Odalys Brandt");
    CHECK(next.adjustment.move == Move::kRaise);
    CHECK_THAT(next.wave_kg, WithinAbs(93.5, 1e-9));
    CHECK_THAT(next.wanted_kg, WithinAbs(93.5 + 0.025 * 170.0, 1e-9));
    CHECK_THAT(next.hung.total_kg, WithinAbs(97.5, 1e-9));
  }
  SECTION("fast twice, but a recording did not measure the second: held") {
    lift(history, "2031-02-14", 85.0, 0.87);
    lift(history, "2031-02-21", 90.0, 0.87);
    for (LiftedSet& set : history) {
      if (set.day != "2031-02-21") continue;
      for (LiftedRep& rep : set.reps) rep.mean_velocity_mps = Reason::kDiscHidden;
    }
    CHECK(of(planned(kWave, history), "Odalys Brandt").adjustment.move == Move::kHold);
  }
  SECTION("a failed rep: a step down") {
    lift(history, "2031-02-14", 85.0, 0.87);
    lift(history, "2031-02-21", 90.0, 0.87);
    history.back().reps.back().kind = RepKind::kFailed;
    const NextLoading next = of(planned(kWave, history), "Odalys Brandt");
    CHECK(next.adjustment.move == Move::kLower);
    CHECK_THAT(next.wanted_kg, WithinAbs(93.5 - 0.025 * 170.0, 1e-9));
  }
  SECTION("what was raised before is kept, and discs are not taken for a move") {
    lift(history, "2031-02-14", 90.0, 0.75);  // 2.9 % of the best single above the wave
    CHECK_THAT(of(planned(kWave, history), "Odalys Brandt").adjustment.offset_share,
               WithinAbs(0.025, 1e-12));
    history.clear();
    lift(history, "2031-02-14", 86.0, 0.75);
    CHECK(of(planned(kWave, history), "Odalys Brandt").adjustment.offset_share == 0.0);
  }
  SECTION("another lifter's sessions tell nothing") {
    lift(history, "2031-02-14", 85.0, 0.87);
    lift(history, "2031-02-21", 90.0, 0.87);
    CHECK(of(planned(kWave, history), "Imre Castellan").adjustment.move == Move::kHold);
  }
  SECTION("nothing is raised before a meet") {
    lift(history, "2031-02-14", 85.0, 0.87);
    lift(history, "2031-02-21", 90.0, 0.87);
    const std::string back =
        "[meet]\nday = 2031-03-08\n[[wave]]\nlift = \"box squat\"\nweeks = 3\n"
        "last_days_before_meet = 8\n";
    const NextPlan plan = planned(back, history);
    CHECK(in_iso(plan.days[0].day) == "2031-02-28");
    CHECK(plan.days[0].session.taper);
    CHECK(plan.days[0].session.sets == 5);
    CHECK(of(plan, "Odalys Brandt").adjustment.move == Move::kHold);
  }
}

TEST_CASE("chain is told at the bottom and at the top, and counts where the plan says",
          "[training]") {
  // Two strands of 5.7 kg/m on 0.5 m of rope: 0.44 m of each hang at 94 cm, 0.94 m at 144 cm.
  const double bottom_kg = 2 * 5.7 * 0.44;
  const double top_kg = 2 * 5.7 * 0.94;
  const std::string chained =
      "variant = [{ bar = \"straight bar\", box_height_cm = 40, chains = \"2 x heavy chain\" }]\n";
  const NextLoading bar = of(planned(kWave + chained), "Odalys Brandt");
  CHECK_THAT(bar.hung.total_kg, WithinAbs(85.0, 1e-9));
  CHECK_THAT(bar.bottom_kg.value_or(0.0), WithinAbs(85.0 + bottom_kg, 0.05));
  CHECK_THAT(bar.top_kg.value_or(0.0), WithinAbs(85.0 + top_kg, 0.05));
  CHECK_THAT(bar.mean_kg.value_or(0.0), WithinAbs(85.0 + 0.5 * (bottom_kg + top_kg), 0.05));
  CHECK(set_up_in_words(bar) == "straight bar, box 40 cm, 2 x heavy chain");

  const NextLoading top = of(planned(kWave + chained + "percent_of = \"top\"\n"), "Odalys Brandt");
  CHECK_THAT(top.wanted_kg, WithinAbs(85.0 - top_kg, 0.05));
  const NextLoading mean =
      of(planned(kWave + chained + "percent_of = \"mean\"\n"), "Odalys Brandt");
  CHECK_THAT(mean.wanted_kg, WithinAbs(85.0 - 0.5 * (bottom_kg + top_kg), 0.05));
}

TEST_CASE("what the club's bars and discs cannot make is cautioned", "[training]") {
  const NextPlan light =
      planned(kWave + "start_percent = 20\nvariant = [{ bar = \"long bar\" }]\n");
  CHECK_THAT(of(light, "Odalys Brandt").hung.total_kg, WithinAbs(60.0, 1e-9));
  CHECK_THAT(notes_in(of(light, "Odalys Brandt").notes), Contains("take a lighter one"));
  CHECK_FALSE(of(light, "Odalys Brandt").collars);
  // All discs together: 25 + 2 × 68.75.
  const NextPlan heavy = planned(kWave + "start_percent = 100\nstep_percent = 0\n");
  CHECK_THAT(of(heavy, "Imre Castellan").hung.total_kg, WithinAbs(162.5, 1e-9));
  CHECK_THAT(notes_in(of(heavy, "Imre Castellan").notes), Contains("discs do not reach"));

  const Roster bare = parse_roster("[[bar]]\nname = \"b\"\nmass_kg = 20\n" + kLifters, "r.toml");
  const NextPlan unrounded = next_plan(plan_of(kWave), bare, {}, always);
  CHECK_THAT(of(unrounded, "Imre Castellan").hung.total_kg, WithinAbs(102.5, 1e-9));
  CHECK_THAT(notes_in(of(unrounded, "Imre Castellan").notes), Contains("has no discs"));
}

TEST_CASE("a lifter without a best single is left out with a word", "[training]") {
  const Roster roster =
      roster_with("[[lifter]]\nname = \"Sunniva Kell\"\n[[lifter.lift]]\nlift = \"box squat\"\n");
  const NextPlan plan = next_plan(plan_of(kWave), roster, {}, always);
  CHECK(plan.days[0].loadings.size() == 2);
  CHECK_THAT(notes_in(plan.days[0].notes), Contains("Sunniva Kell is left out"));
}

TEST_CASE("names that the roster does not hold are told with the plan's line", "[training]") {
  const auto refused = [](const std::string& text, const NextOptions& options) {
    try {
      (void)planned(text, {}, options);
    } catch (const Error& error) {
      CHECK_FALSE(error.mend().empty());
      return std::string(error.what());
    }
    return std::string("planned");
  };
  const std::string at_wave = "plan.toml:1";
  CHECK_THAT(refused(kWave + "lifters = [\"Odalis Brandt\"]\n", {}),
             Contains(at_wave) && Contains("Perhaps 'Odalys Brandt' is meant"));
  CHECK_THAT(refused("[[wave]]\nlift = \"box squads\"\nfirst_day = 2031-02-14\n", {}),
             Contains(at_wave) && Contains("Perhaps 'box squat' is meant"));
  CHECK_THAT(refused(kWave + "variant = [\n{ bar = \"straight baar\" }]\n", {}),
             Contains("plan.toml:5") && Contains("straight bar"));
  CHECK_THAT(refused(kWave + "variant = [\n{ chains = \"2 x heavy chian\" }]\n", {}),
             Contains("plan.toml:5") && Contains("heavy chain"));
  CHECK_THAT(refused(kWave + "variant = [\n{ chains = \"heaps\" }]\n", {}),
             Contains("plan.toml:5"));
  CHECK_THAT(refused(kWave, {.day = day("2031-02-15"), .lift = std::nullopt}),
             Contains("The nearest planned day is 2031-02-14"));
  CHECK_THAT(refused(kWave, {.day = std::nullopt, .lift = "deadlift"}),
             Contains("no wave of this lift"));
}

TEST_CASE("the week's other work stands beside the loads", "[training]") {
  const std::string more =
      "[[special]]\nday = \"Monday\"\nexercises = [\"good morning\", \"rack pull\"]\n"
      "every_weeks = 2\n[[accessory]]\nname = \"sled drag\"\nload_kg = 60\ndistance_m = 60\n"
      "times = 10\nheavy = \"Saturday\"\nlight = \"Tuesday\"\n";
  std::vector<LiftedSet> history;
  lift(history, "2031-02-21", 90.0, 0.75);
  const NextPlan plan = planned(kWave + more, history);
  CHECK(in_iso(plan.week_begins) == "2031-02-24");
  REQUIRE(plan.specials.size() == 1);
  // Turns are counted from the Monday of the wave's first week.
  CHECK(plan.specials[0].exercise == "rack pull");
  REQUIRE(plan.accessories.sessions.size() == 2);
  CHECK(plan.accessories.sessions[0].times == 6);
  CHECK(plan.accessories.work_kg_m == 60.0 * 60.0 * 16.0);
}
