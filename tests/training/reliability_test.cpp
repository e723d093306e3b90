// Typical error and smallest worthwhile change on a worked example.
//
// Definitions: W. G. Hopkins, Sports Med 2000; 30:1-15 (from memory), the share of 0.2 second-hand;
// the numbers were worked out from the definitions outside this project.
#include "libkinetics/training/reliability.h"

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/training/compare.h"
#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Matchers::WithinAbs;

namespace {
const std::vector<double> kFirst{.62, .55, .71, .48, .66, .59, .52, .68};
const std::vector<double> kSecond{.60, .57, .70, .50, .69, .58, .53, .66};
}  // namespace

TEST_CASE("two tests of eight lifters give the worked numbers", "[training]") {
  const Reliability r = reliability(kFirst, kSecond);
  CHECK_THAT(r.mean_change, WithinAbs(0.0025, 1e-12));
  CHECK_THAT(r.typical_error, WithinAbs(0.0140152978, 1e-10));
  CHECK_THAT(r.variation_percent, WithinAbs(2.32619, 5e-6));
  CHECK_THAT(r.between_sd, WithinAbs(0.0809651601, 1e-10));
  CHECK_THAT(r.smallest_worthwhile, WithinAbs(0.0161930320, 1e-10));
  CHECK_THAT(r.minimum_detectable, WithinAbs(0.0388484234, 1e-10));
}

TEST_CASE("the model of a comparison finds the same typical error", "[training][compare]") {
  // Two days, one load, measured without error: lifters and days fitted, what is left is the
  // typical error. The day's own effect is estimated apart from it.
  std::vector<LiftedSession> sessions;
  for (std::size_t i = 0; i < kFirst.size(); ++i) {
    const std::string name = "lifter " + std::to_string(i);
    for (const bool second : {false, true}) {
      sessions.push_back(
          kinetics_test::made_session(kinetics_test::day(second ? "2031-01-10" : "2031-01-03"),
                                      name,
                                      100.0,
                                      second ? kSecond[i] : kFirst[i],
                                      1e-6));
    }
  }
  const CompareSpan a{.name = "a",
                      .from = kinetics_test::day("2031-01-03"),
                      .to = kinetics_test::day("2031-01-03")};
  const CompareSpan b{.name = "b",
                      .from = kinetics_test::day("2031-01-10"),
                      .to = kinetics_test::day("2031-01-10")};
  const Comparison c = compare(sessions, "box squat", a, b);
  CHECK_THAT(c.team.difference_mps, WithinAbs(0.0025, 1e-9));
  CHECK(c.team.change == ChangeWord::kNoClearChange);
  // With no effect of the day the error is pooled over it: 0.0025 of change over eight lifters.
  CHECK_THAT(c.typical_error_mps, WithinAbs(0.0140, 0.0008));
  CHECK_THAT(c.between_sd_mps, WithinAbs(0.0809651601, 1e-8));
  CHECK_THAT(c.worthwhile_mps, WithinAbs(0.0161930320, 1e-8));
}

TEST_CASE("lists of unequal length are refused", "[training][bad-input]") {
  CHECK_THROWS_AS(reliability({0.5, 0.6}, {0.5}), Error);
  CHECK_THROWS_AS(reliability({0.5}, {0.5}), Error);
}
