// The rule that moves a load: what raises, what lowers, and above all what must not raise. The
// numbers follow from the rule's own words (adjust.h) and the normal distribution.
#include "libkinetics/training/adjust.h"

#include <vector>

#include <catch2/catch.hpp>

#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using kinetics_test::day;
using kinetics_test::made_session;

namespace {

/// Expected is 0.75 m/s, surely.
DoneSession done(const std::string& on, double velocity_mps) {
  return {.lifted = made_session(day(on), "Wenna Duarte", 100.0, velocity_mps, 0.005),
          .expected_mps = Measured(0.75, 0.005),
          .zone = std::nullopt};
}

std::vector<DoneSession> two(double first_mps, double second_mps) {
  return {done("2031-03-21", first_mps), done("2031-03-28", second_mps)};
}

const AdjustRule kRule;

}  // namespace

TEST_CASE("without sessions the wave's own load stands", "[training]") {
  CHECK(adjust({}, kRule).move == Move::kHold);
  CHECK(adjust({}, kRule).offset_share == 0.0);
}

TEST_CASE("fast twice in a row raises by a step, once does not", "[training]") {
  const Adjustment up = adjust(two(0.87, 0.88), kRule);
  CHECK(up.move == Move::kRaise);
  CHECK_THAT(up.offset_share, WithinAbs(0.025, 1e-12));
  CHECK_THAT(up.why, Contains("0.880 ± 0.010 m/s") && Contains("certainly faster"));
  CHECK(adjust({done("2031-03-28", 0.88)}, kRule).move == Move::kHold);
  CHECK(adjust(two(0.75, 0.88), kRule).move == Move::kHold);
}

TEST_CASE("nothing is raised on a number that is uncertain or was not measured", "[training]") {
  auto sessions = two(0.87, 0.88);
  SECTION("not measured") {
    sessions.back().lifted.velocity_mps = Reason::kDiscHidden;
  }
  SECTION("nothing measured at all") {
    sessions.back().lifted.reps = 0;
  }
  SECTION("too few reps") {
    sessions.back().lifted.reps = kRule.least_reps - 1;
  }
  SECTION("the session before had too few") {
    sessions.front().lifted.reps = 2;
  }
  SECTION("many reps not measured") {
    sessions.back().lifted.not_measured = 8;
  }
  SECTION("a wide interval") {
    sessions.back().lifted.velocity_mps = Measured(0.88, 0.2);
  }
  SECTION("an uncertain expectation") {
    for (DoneSession& s : sessions) s.expected_mps = Measured(0.75, 0.08);
  }
  SECTION("no expectation") {
    for (DoneSession& s : sessions) s.expected_mps = Reason::kNotApplicable;
  }
  SECTION("sets slowed") {
    sessions.back().lifted.slowed_sets = 1;
  }
  SECTION("a partial rep") {
    sessions.back().lifted.partial = 1;
  }
  const Adjustment out = adjust(sessions, kRule);
  CHECK(out.move == Move::kHold);
  CHECK(out.offset_share == 0.0);
}

TEST_CASE("nothing is raised in the taper", "[training]") {
  CHECK(adjust(two(0.87, 0.88), kRule, true).move == Move::kHold);
}

TEST_CASE("slow once, or a failed rep, lowers by a step", "[training]") {
  CHECK(adjust({done("2031-03-28", 0.62)}, kRule).move == Move::kLower);
  auto failed = two(0.87, 0.88);
  failed.back().lifted.failed = 1;
  const Adjustment down = adjust(failed, kRule);
  CHECK(down.move == Move::kLower);
  CHECK_THAT(down.offset_share, WithinAbs(-0.025, 1e-12));
  CHECK_THAT(down.why, Contains("1 rep failed"));
  CHECK(adjust({done("2031-03-28", 0.70)}, kRule).move == Move::kHold);
}

TEST_CASE("slow by less but again and again lowers too", "[training]") {
  CHECK(adjust({done("2031-03-28", 0.675)}, kRule).move == Move::kHold);
  CHECK(adjust(two(0.675, 0.675), kRule).move == Move::kLower);
}

TEST_CASE("moves add up within their limits", "[training]") {
  auto fast = two(0.87, 0.88);
  fast.back().offset_share = 0.025;
  CHECK_THAT(adjust(fast, kRule).offset_share, WithinAbs(0.05, 1e-12));
  fast.back().offset_share = 0.05;
  const Adjustment at_limit = adjust(fast, kRule);
  CHECK(at_limit.move == Move::kHold);
  CHECK_THAT(at_limit.offset_share, WithinAbs(0.05, 1e-12));
  CHECK_THAT(at_limit.why, Contains("limit"));
  fast.back().offset_share = 0.30;  // loaded by hand
  CHECK(adjust(fast, kRule).offset_share <= kRule.most_raise_share + 1e-12);
}

TEST_CASE("where nothing is expected the coach's zone serves", "[training]") {
  auto sessions = two(0.60, 0.60);
  for (DoneSession& s : sessions) {
    s.expected_mps = Reason::kNotApplicable;
    s.zone = VelocityBand{.lowest_mps = 0.70, .highest_mps = 0.95};
  }
  CHECK(adjust(sessions, kRule).move == Move::kLower);
  for (DoneSession& s : sessions) s.lifted.velocity_mps = Measured(0.80, 0.005);
  CHECK(adjust(sessions, kRule).move == Move::kHold);
}
