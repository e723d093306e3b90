// How often a comparison says faster or slower, over simulated teams whose truth is known. What is
// claimed of a share is its upper 95 % confidence bound, from the spread between teams.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdio>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/training/compare.h"
#include "tests/training/made_history.h"

using namespace kinetics;
using kinetics_test::day;
using kinetics_test::made_session;

namespace {

/// How a simulated team differs from one to the next.
struct World {
  std::string name;
  int lifters = 8;
  int first_wave = 5;            ///< sessions
  int second_wave = 3;           ///< likewise
  double day_sigma = 0.015;      ///< shared by all on a day, m/s
  double session_sigma = 0.025;  ///< of one lifter's session
  double measured_sigma = 0.008;
  double slope_spread = 0.15;  ///< share by which lifters' slopes differ
  double missed = 0.1;         ///< share of sessions missed
};

struct Team {
  std::vector<LiftedSession> sessions;
  CompareSpan before;
  CompareSpan after;
};

Team simulated(const World& world, double change_mps, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform;
  Team team;
  const CalendarDay first = day("2031-01-03");
  const auto on = [&](int i) { return first + std::chrono::days{7 * i}; };
  team.before = {.name = "wave 1", .from = on(0), .to = on(world.first_wave - 1)};
  team.after = {.name = "wave 2",
                .from = on(world.first_wave),
                .to = on(world.first_wave + world.second_wave - 1)};
  std::vector<double> day_effects;
  for (int i = 0; i < world.first_wave + world.second_wave; ++i) {
    day_effects.push_back(world.day_sigma * normal(random));
  }
  for (int who = 0; who < world.lifters; ++who) {
    const double best_kg = 100.0 + 150.0 * uniform(random);
    const double at_half = 0.75 + 0.08 * normal(random);
    const double slope = -1.2 * (1.0 + world.slope_spread * normal(random));
    for (int i = 0; i < world.first_wave + world.second_wave; ++i) {
      if (uniform(random) < world.missed) continue;
      const bool second = i >= world.first_wave;
      const int week = second ? i - world.first_wave : i;
      const double share = 0.50 + 0.025 * week;
      // Intervals differ from session to session: clips are not all alike.
      const double sigma = world.measured_sigma * (0.5 + 1.5 * uniform(random));
      const double v = at_half + slope * (share - 0.5) + (second ? change_mps : 0.0) +
                       day_effects[static_cast<std::size_t>(i)] +
                       world.session_sigma * normal(random) + sigma * normal(random);
      team.sessions.push_back(
          made_session(on(i), fmt::format("lifter {:02}", who), share * best_kg, v, sigma));
    }
  }
  return team;
}

/// A share over many teams. Lifters of one team share its days, so that teams are what is drawn.
struct Share {
  double sum = 0.0;
  double squares = 0.0;
  double teams = 0.0;

  void add(double of_team) {
    sum += of_team;
    squares += of_team * of_team;
    teams += 1.0;
  }
  [[nodiscard]] double mean() const { return sum / teams; }
  [[nodiscard]] double error() const {
    return std::sqrt(std::max(0.0, squares / teams - mean() * mean()) / (teams - 1.0));
  }
  /// The true share is no higher, with 95 % confidence (normal distribution).
  [[nodiscard]] double at_most() const { return mean() + 1.645 * error(); }
};

struct Shares {
  Share wrong_team, wrong_lifter;  ///< faster or slower
  Share faster_team, faster_lifter;
  Share slower_team;
  Share held_team, held_lifter;
  double mean_error_team = 0.0;
  double half_width_team = 0.0;
  double half_width_lifter = 0.0;
};

Shares counted(const World& world, double change_mps, int teams, unsigned seed) {
  std::mt19937_64 random(seed);
  Shares out;
  const auto is = [](const VelocityChange& v, ChangeWord word) {
    return v.change == word ? 1.0 : 0.0;
  };
  const auto held = [&](const VelocityChange& v) {
    return std::abs(v.difference_mps - change_mps) <= v.half_width_mps ? 1.0 : 0.0;
  };
  for (int i = 0; i < teams; ++i) {
    const Team team = simulated(world, change_mps, random);
    const Comparison c = compare(team.sessions, "box squat", team.before, team.after);
    out.wrong_team.add(1.0 - is(c.team, ChangeWord::kNoClearChange));
    out.faster_team.add(is(c.team, ChangeWord::kFaster));
    out.slower_team.add(is(c.team, ChangeWord::kSlower));
    out.held_team.add(held(c.team));
    out.mean_error_team += (c.team.difference_mps - change_mps) / teams;
    out.half_width_team += c.team.half_width_mps / teams;
    double wrong = 0.0;
    double faster = 0.0;
    double held_share = 0.0;
    const auto lifters = static_cast<double>(c.lifters.size());
    for (const LifterChange& one : c.lifters) {
      wrong += (1.0 - is(one.change, ChangeWord::kNoClearChange)) / lifters;
      faster += is(one.change, ChangeWord::kFaster) / lifters;
      held_share += held(one.change) / lifters;
      out.half_width_lifter += one.change.half_width_mps / lifters / teams;
    }
    out.wrong_lifter.add(wrong);
    out.faster_lifter.add(faster);
    out.held_lifter.add(held_share);
  }
  return out;
}

void print(const World& world, double change_mps, const Shares& s) {
  fmt::print(
      "{:<34} change {:+.3f}: team {:4.1f} % faster {:4.1f} % slower (both: at most {:.1f} %), "
      "± {:.3f}, held {:.1f} %; lifter {:4.1f} % faster, {:4.1f} % either (at most {:.1f} %), "
      "± {:.3f}, held {:.1f} %\n",
      world.name,
      change_mps,
      100.0 * s.faster_team.mean(),
      100.0 * s.slower_team.mean(),
      100.0 * s.wrong_team.at_most(),
      s.half_width_team,
      100.0 * s.held_team.mean(),
      100.0 * s.faster_lifter.mean(),
      100.0 * s.wrong_lifter.mean(),
      100.0 * s.wrong_lifter.at_most(),
      s.half_width_lifter,
      100.0 * s.held_lifter.mean());
  std::fflush(stdout);
}

const std::array<World, 6> kWorlds{{
    {.name = "8 lifters, 5 + 3 sessions"},
    {.name = "8 lifters, 5 + 5 sessions", .second_wave = 5},
    {.name = "8 lifters, no day effect", .day_sigma = 0.0},
    {.name = "8 lifters, strong day effect", .day_sigma = 0.04},
    {.name = "3 lifters, 5 + 3 sessions", .lifters = 3},
    {.name = "20 lifters, 3 + 3, coarse clips",
     .lifters = 20,
     .first_wave = 3,
     .measured_sigma = 0.03},
}};

}  // namespace

// The claim: without any change, the true share of statements that say faster or slower is at most
// 6 % in each of these worlds, for teams and for lifters, with 95 % confidence. Nominal is 5 %; the
// rest is what approximate degrees of freedom leave open where days differ most.
constexpr double kMostWrong = 0.06;

TEST_CASE("without a change at most 1 in 20 is called faster or slower", "[training][compare]") {
  constexpr int kTeams = 4000;
  for (const World& world : kWorlds) {
    const Shares s = counted(world, 0.0, kTeams, 20310307);
    print(world, 0.0, s);
    CAPTURE(world.name);
    CHECK(s.wrong_team.at_most() <= kMostWrong);
    CHECK(s.wrong_lifter.at_most() <= kMostWrong);
    CHECK(std::abs(s.mean_error_team) < 0.002);
  }
}

TEST_CASE("a change is found the more often the larger it is", "[training][compare]") {
  constexpr int kTeams = 1000;
  const World world = kWorlds[0];
  double last_team = 0.0;
  for (const double change : {0.02, 0.04, 0.06, 0.10}) {
    const Shares s = counted(world, change, kTeams, 7);
    print(world, change, s);
    CAPTURE(change);
    CHECK(s.faster_team.mean() >= last_team);
    // The wrong way round: half of what is allowed both ways.
    CHECK(s.slower_team.at_most() <= 0.5 * kMostWrong);
    CHECK(s.held_team.mean() >= 0.945);
    CHECK(s.held_lifter.mean() >= 0.94);
    last_team = s.faster_team.mean();
  }
  // Most of what a coach acts on is found in a team of eight.
  CHECK(last_team > 0.9);
}

TEST_CASE("single sessions are held against the scatter of all", "[training][compare]") {
  constexpr int kTeams = 4000;
  std::mt19937_64 random(11);
  Share wrong_team;
  Share wrong_lifter;
  for (int i = 0; i < kTeams; ++i) {
    const Team team = simulated({.name = "", .missed = 0.0}, 0.0, random);
    const CompareSpan first{.name = "a", .from = team.after.from, .to = team.after.from};
    const CompareSpan second{.name = "b",
                             .from = first.to + std::chrono::days{7},
                             .to = first.to + std::chrono::days{7}};
    const Comparison c = compare(team.sessions, "box squat", first, second);
    const auto wrong = [](const VelocityChange& v) {
      return v.change != ChangeWord::kNoClearChange ? 1.0 : 0.0;
    };
    wrong_team.add(wrong(c.team));
    double lifters = 0.0;
    for (const LifterChange& one : c.lifters) lifters += wrong(one.change);
    wrong_lifter.add(lifters / static_cast<double>(c.lifters.size()));
  }
  fmt::print(
      "session against session without a change: team {:.1f} % (at most {:.1f} %), lifter "
      "{:.1f} % (at most {:.1f} %) called\n",
      100.0 * wrong_team.mean(),
      100.0 * wrong_team.at_most(),
      100.0 * wrong_lifter.mean(),
      100.0 * wrong_lifter.at_most());
  CHECK(wrong_team.at_most() <= kMostWrong);
  CHECK(wrong_lifter.at_most() <= kMostWrong);
}
