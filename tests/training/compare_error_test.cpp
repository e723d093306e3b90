// How often a comparison says faster or slower, over simulated teams whose truth is known: at most
// 5 % of statements may be wrong when nothing changed, and the intervals must hold the truth in 95
// % of cases. Tolerances: three standard errors of the counted share.
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

/// Shares over many teams.
struct Shares {
  double faster_team = 0.0;
  double slower_team = 0.0;
  double faster_lifter = 0.0;
  double slower_lifter = 0.0;
  double held_team = 0.0;
  double held_lifter = 0.0;
  double mean_error_team = 0.0;
  double half_width_team = 0.0;
  double half_width_lifter = 0.0;
  double teams = 0.0;
  double lifters = 0.0;
};

Shares counted(const World& world, double change_mps, int teams, unsigned seed) {
  std::mt19937_64 random(seed);
  Shares out;
  for (int i = 0; i < teams; ++i) {
    const Team team = simulated(world, change_mps, random);
    const Comparison c = compare(team.sessions, "box squat", team.before, team.after);
    out.teams += 1.0;
    out.faster_team += c.team.change == ChangeWord::kFaster ? 1.0 : 0.0;
    out.slower_team += c.team.change == ChangeWord::kSlower ? 1.0 : 0.0;
    const double off = c.team.difference_mps - change_mps;
    out.held_team += std::abs(off) <= c.team.half_width_mps ? 1.0 : 0.0;
    out.mean_error_team += off;
    out.half_width_team += c.team.half_width_mps;
    for (const LifterChange& one : c.lifters) {
      out.lifters += 1.0;
      out.faster_lifter += one.change.change == ChangeWord::kFaster ? 1.0 : 0.0;
      out.slower_lifter += one.change.change == ChangeWord::kSlower ? 1.0 : 0.0;
      out.half_width_lifter += one.change.half_width_mps;
      out.held_lifter +=
          std::abs(one.change.difference_mps - change_mps) <= one.change.half_width_mps ? 1.0 : 0.0;
    }
  }
  for (double* const sum : {&out.faster_team,
                            &out.slower_team,
                            &out.held_team,
                            &out.mean_error_team,
                            &out.half_width_team}) {
    *sum /= out.teams;
  }
  for (double* const sum :
       {&out.faster_lifter, &out.slower_lifter, &out.held_lifter, &out.half_width_lifter}) {
    *sum /= out.lifters;
  }
  return out;
}

void print(const World& world, double change_mps, const Shares& s) {
  fmt::print(
      "{:<34} change {:+.3f}: team {:4.1f} % faster {:4.1f} % slower, ± {:.3f}, held {:.1f} %; "
      "lifter {:4.1f} % faster {:4.1f} % slower, ± {:.3f}, held {:.1f} %\n",
      world.name,
      change_mps,
      100.0 * s.faster_team,
      100.0 * s.slower_team,
      s.half_width_team,
      100.0 * s.held_team,
      100.0 * s.faster_lifter,
      100.0 * s.slower_lifter,
      s.half_width_lifter,
      100.0 * s.held_lifter);
  std::fflush(stdout);
}

double three_errors(double share, double count) {
  return 3.0 * std::sqrt(share * (1.0 - share) / count);
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

TEST_CASE("without a change at most 1 in 20 is called faster or slower", "[training][compare]") {
  constexpr int kTeams = 1000;
  for (const World& world : kWorlds) {
    const Shares s = counted(world, 0.0, kTeams, 20310307);
    print(world, 0.0, s);
    CAPTURE(world.name);
    CHECK(s.faster_team + s.slower_team <= 0.05 + three_errors(0.05, s.teams));
    // Lifters of one team share its days: their statements are no independent draws.
    CHECK(s.faster_lifter + s.slower_lifter <= 0.05 + three_errors(0.05, s.teams));
    CHECK(std::abs(s.mean_error_team) < 0.002);
  }
}

TEST_CASE("a change is found the more often the larger it is", "[training][compare]") {
  constexpr int kTeams = 300;
  const World world = kWorlds[0];
  double last_team = 0.0;
  for (const double change : {0.02, 0.04, 0.06, 0.10}) {
    const Shares s = counted(world, change, kTeams, 7);
    print(world, change, s);
    CAPTURE(change);
    CHECK(s.faster_team >= last_team - 0.05);
    CHECK(s.slower_team <= 0.025 + three_errors(0.025, s.teams));
    CHECK(s.held_team > 0.95 - three_errors(0.05, s.teams));
    CHECK(s.held_lifter > 0.95 - three_errors(0.05, s.teams));
    last_team = s.faster_team;
  }
  // Most of what a coach acts on is found in a team of eight.
  CHECK(last_team > 0.8);
}

TEST_CASE("single sessions are held against the scatter of all", "[training][compare]") {
  constexpr int kTeams = 600;
  std::mt19937_64 random(11);
  double wrong_team = 0.0;
  double wrong_lifter = 0.0;
  double lifters = 0.0;
  for (int i = 0; i < kTeams; ++i) {
    const Team team = simulated({.name = "", .missed = 0.0}, 0.0, random);
    const CompareSpan first{.name = "a", .from = team.after.from, .to = team.after.from};
    const CompareSpan second{.name = "b",
                             .from = first.to + std::chrono::days{7},
                             .to = first.to + std::chrono::days{7}};
    const Comparison c = compare(team.sessions, "box squat", first, second);
    wrong_team += c.team.change != ChangeWord::kNoClearChange ? 1.0 : 0.0;
    for (const LifterChange& one : c.lifters) {
      lifters += 1.0;
      wrong_lifter += one.change.change != ChangeWord::kNoClearChange ? 1.0 : 0.0;
    }
  }
  fmt::print("session against session without a change: team {:.1f} %, lifter {:.1f} % called\n",
             100.0 * wrong_team / kTeams,
             100.0 * wrong_lifter / lifters);
  CHECK(wrong_team / kTeams <= 0.05 + three_errors(0.05, kTeams));
  CHECK(wrong_lifter / lifters <= 0.05 + three_errors(0.05, kTeams));
}
