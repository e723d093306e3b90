// Comparisons against closed form. In a balanced table REML is the analysis of variance (S. R.
// Searle, G. Casella, C. E. McCulloch, Variance Components, 1992, from memory): days within spans,
// lifters crossed with days. The shares of wrong words and the power stand in
// compare_error_test.cpp.
#include "libkinetics/training/compare.h"

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/training/compare_spans.h"
#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
using kinetics_test::day;
using kinetics_test::made_session;

namespace {

constexpr double kTiny = 1e-9;  // a mean's own error, as good as none
constexpr std::array kNames{"Bram Ostrander", "Odalys Brandt", "Wenna Duarte"};

CompareSpan span(const std::string& name, const std::string& from, const std::string& to) {
  return {.name = name, .from = day(from), .to = day(to)};
}

const CompareSpan kBefore = span("wave 1", "2031-02-07", "2031-02-21");
const CompareSpan kAfter = span("wave 2", "2031-02-28", "2031-03-14");
const std::vector<std::string> kDays{
    "2031-02-07", "2031-02-14", "2031-02-21", "2031-02-28", "2031-03-07", "2031-03-14"};

/// Velocities of three lifters (rows) on six days at one load each.
using Balanced = std::array<std::array<double, 6>, 3>;
constexpr Balanced kVelocities{{{0.71, 0.74, 0.70, 0.79, 0.80, 0.75},
                                {0.82, 0.88, 0.83, 0.84, 0.92, 0.86},
                                {0.65, 0.67, 0.62, 0.70, 0.72, 0.66}}};

std::vector<LiftedSession> sessions_of(const Balanced& velocities) {
  std::vector<LiftedSession> out;
  for (std::size_t who = 0; who < 3; ++who) {
    for (std::size_t i = 0; i < 6; ++i) {
      out.push_back(made_session(day(kDays[i]),
                                 kNames[who],
                                 100.0 + 10.0 * static_cast<double>(who),
                                 velocities[who][i],
                                 kTiny));
    }
  }
  return out;
}

/// The analysis of variance of such a table, worked by hand.
struct Anova {
  double day_variance = 0.0;
  double scatter_variance = 0.0;
  std::array<double, 3> change{};
  double team = 0.0;
};

Anova anova(const Balanced& v) {
  Anova out;
  double between = 0.0;
  double within = 0.0;
  std::array<double, 2> span_mean{};
  for (std::size_t s = 0; s < 2; ++s) {
    std::array<double, 3> cell{};
    for (std::size_t who = 0; who < 3; ++who) {
      for (std::size_t i = 0; i < 3; ++i) cell[who] += v[who][3 * s + i] / 3.0;
      span_mean[s] += cell[who] / 3.0;
      out.change[who] += (s == 0 ? -1.0 : 1.0) * cell[who];
    }
    for (std::size_t i = 0; i < 3; ++i) {
      double of_day = 0.0;
      for (std::size_t who = 0; who < 3; ++who) of_day += v[who][3 * s + i] / 3.0;
      between += 3.0 * std::pow(of_day - span_mean[s], 2);
      for (std::size_t who = 0; who < 3; ++who) {
        within += std::pow(v[who][3 * s + i] - cell[who] - of_day + span_mean[s], 2);
      }
    }
  }
  // Four degrees of freedom between days within spans, eight within them.
  out.scatter_variance = within / 8.0;
  out.day_variance = (between / 4.0 - out.scatter_variance) / 3.0;
  out.team = span_mean[1] - span_mean[0];
  return out;
}

}  // namespace

TEST_CASE("a balanced table is compared as the analysis of variance does", "[training][compare]") {
  const Anova by_hand = anova(kVelocities);
  REQUIRE(by_hand.day_variance > 0.0);
  const Comparison c = compare(sessions_of(kVelocities), "box squat", kBefore, kAfter);
  CHECK_THAT(c.team.difference_mps, WithinAbs(by_hand.team, 1e-6));
  CHECK_THAT(c.typical_error_mps, WithinRel(std::sqrt(by_hand.scatter_variance), 1e-3));
  CHECK_THAT(c.day_sigma_mps, WithinRel(std::sqrt(by_hand.day_variance), 1e-3));
  // Three days a span: t with 4 degrees of freedom is 2.776445 (NIST/SEMATECH e-Handbook, table
  // 1.3.6.7.2, gives 2.776).
  const double error =
      std::sqrt((by_hand.day_variance + by_hand.scatter_variance / 3.0) * (2.0 / 3.0));
  CHECK_THAT(c.team.half_width_mps, WithinRel(2.776445 * error, 2e-3));
  REQUIRE(c.lifters.size() == 3);
  for (std::size_t who = 0; who < 3; ++who) {
    CHECK(c.lifters[who].lifter == kNames[who]);
    CHECK_THAT(c.lifters[who].change.difference_mps, WithinAbs(by_hand.change[who], 1e-6));
    CHECK_THAT(c.lifters[who].after_mps - c.lifters[who].before_mps,
               WithinAbs(by_hand.change[who], 1e-6));
    CHECK((c.lifters[who].sessions_before == 3 && c.lifters[who].sessions_after == 3));
    // One lifter's change is less sure than the team's.
    CHECK(c.lifters[who].change.half_width_mps > 1.96 * error);
  }
  // 0.2 of the deviation between lifters in the first span (Hopkins 2000, see reliability.h).
  CHECK_THAT(c.worthwhile_mps, WithinAbs(0.2 * c.between_sd_mps, 1e-12));
  CHECK(c.sessions.size() == 18);
}

TEST_CASE("the word is what the interval says", "[training][compare]") {
  for (const double shift : {-0.20, -0.10, 0.0, 0.10, 0.20}) {
    Balanced v = kVelocities;
    for (auto& lifter : v) {
      for (std::size_t i = 3; i < 6; ++i) lifter[i] += shift;
    }
    const Comparison c = compare(sessions_of(v), "box squat", kBefore, kAfter);
    CAPTURE(shift, c.team.difference_mps, c.team.half_width_mps);
    const auto checked = [](const VelocityChange& change) {
      const bool clear = std::abs(change.difference_mps) > change.half_width_mps;
      const ChangeWord word = !clear                        ? ChangeWord::kNoClearChange
                              : change.difference_mps > 0.0 ? ChangeWord::kFaster
                                                            : ChangeWord::kSlower;
      CHECK(change.change == word);
    };
    checked(c.team);
    for (const LifterChange& one : c.lifters) checked(one.change);
    if (shift == 0.20) CHECK(c.team.change == ChangeWord::kFaster);
    if (shift == -0.20) CHECK(c.team.change == ChangeWord::kSlower);
  }
  CHECK(in_words(ChangeWord::kFaster) == "faster");
  CHECK(in_words(ChangeWord::kSlower) == "slower");
  CHECK(in_words(ChangeWord::kNoClearChange) == "no clear change");
}

TEST_CASE("what a heavier bar costs is not taken for a change", "[training][compare]") {
  // 0.9 m/s less 0.012 for each percent of load; the second wave is 5 % heavier throughout.
  std::vector<LiftedSession> sessions;
  for (std::size_t who = 0; who < 3; ++who) {
    for (std::size_t i = 0; i < 6; ++i) {
      const double share = (i < 3 ? 0.95 : 1.0) + 0.025 * static_cast<double>(i % 3) - 0.025;
      const double wobble = (who + i) % 2 == 0 ? 0.002 : -0.002;
      sessions.push_back(made_session(
          day(kDays[i]), kNames[who], 100.0 * share, 2.1 - 1.2 * share + wobble, 0.004));
    }
  }
  const Comparison c = compare(sessions, "box squat", kBefore, kAfter);
  REQUIRE(c.slope_mps_per_tenth);
  CHECK_THAT(*c.slope_mps_per_tenth, WithinAbs(-0.12, 0.01));
  CHECK_THAT(c.team.difference_mps, WithinAbs(0.0, 0.01));
  CHECK(c.team.change == ChangeWord::kNoClearChange);
}

TEST_CASE("only like is held against like", "[training][compare]") {
  auto sessions = sessions_of(kVelocities);
  const Comparison plain = compare(sessions, "box squat", kBefore, kAfter);
  // A day at half the load, a day on another bar, and one that was not measured change nothing.
  sessions.push_back(made_session(day("2031-03-10"), "Wenna Duarte", 50.0, 1.2, kTiny));
  sessions.push_back(made_session(day("2031-03-10"), "Bram Ostrander", 100.0, 0.3, kTiny));
  sessions.back().set_up.bar = "cambered bar";
  sessions.push_back(made_session(day("2031-03-10"), "Odalys Brandt", 110.0, 0.0, kTiny));
  sessions.back().velocity_mps = Reason::kDiscHidden;
  const Comparison c = compare(sessions, "box squat", kBefore, kAfter);
  CHECK_THAT(c.team.difference_mps, WithinAbs(plain.team.difference_mps, 1e-9));
  CHECK(c.sessions.size() == plain.sessions.size());
  std::string notes;
  for (const Note& note : c.notes) notes += note.text;
  CHECK_THAT(notes, Contains("2 sessions are left out") && Contains("without a measured rep"));

  // A lifter with sessions in one span only is no part of the team.
  sessions.push_back(made_session(day("2031-02-07"), "Sunniva Kell", 60.0, 0.8, kTiny));
  CHECK(compare(sessions, "box squat", kBefore, kAfter).lifters.size() == 3);
}

TEST_CASE("what cannot be compared is refused with the mend", "[training][compare]") {
  const auto sessions = sessions_of(kVelocities);
  const auto refused = [&](const std::vector<LiftedSession>& some,
                           const std::string& lift,
                           const std::string& words) {
    try {
      (void)compare(some, lift, kBefore, kAfter);
      FAIL("compared");
    } catch (const Error& error) {
      CHECK(error.code() == ErrorCode::kUsage);
      CHECK_THAT(error.what(), Contains("wave 2 against wave 1") && Contains(words));
    }
  };
  refused(sessions, "deadlift", "no lifter has a session of 'deadlift'");
  refused({sessions[0], sessions[3]}, "box squat", "2 sessions are too few");
}

TEST_CASE("waves are found from the plan, else from the loads", "[training][compare]") {
  std::vector<LiftedSession> sessions;
  const std::vector<double> shares{0.50, 0.525, 0.55, 0.575, 0.60, 0.50, 0.525};
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const CalendarDay on = day("2031-02-07") + std::chrono::days{7 * static_cast<int>(i)};
    sessions.push_back(made_session(on, "Wenna Duarte", 150.0 * shares[i], 0.7, 0.01));
    sessions.push_back(made_session(on, "Tobin Ashgrove", 260.0 * shares[i], 0.7, 0.01));
  }
  const auto lifted = lifted_waves("Box Squat", sessions);
  REQUIRE(lifted.size() == 2);
  CHECK((in_iso(lifted[0].from) == "2031-02-07" && in_iso(lifted[0].to) == "2031-03-07"));
  CHECK((in_iso(lifted[1].from) == "2031-03-14" && in_iso(lifted[1].to) == "2031-03-21"));
  CHECK(days_in(lifted[0], "box squat", sessions).size() == 5);

  const TrainingPlan plan = parse_training_plan(
      "[[wave]]\nlift = \"box squat\"\nfirst_day = 2031-02-07\nweeks = 5\nwaves = 3\n",
      "plan.toml");
  const auto planned = planned_waves(plan, "box squat", sessions);
  REQUIRE(planned.size() == 2);  // nothing was lifted in the third
  // Sessions up to three days late belong to it.
  CHECK((in_iso(planned[0].from) == "2031-02-04" && in_iso(planned[0].to) == "2031-03-10"));
  CHECK(in_iso(planned[1].from) == "2031-03-11");
  CHECK(lifts_in(sessions) == std::vector<std::string>{"box squat"});
  CHECK(waves_of(&plan, "box squat", sessions).front().from == planned[0].from);
  CHECK(waves_of(nullptr, "box squat", sessions).front().from == lifted[0].from);

  const auto one_by_one = session_by_session(sessions, "box squat", lifted[0]);
  REQUIRE(one_by_one.size() == 4);
  CHECK(one_by_one[0].after.name == day_in_words(day("2031-02-14")));
}
