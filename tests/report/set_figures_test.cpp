// The figures of a set are those of its reps, worked out here by hand: fastest, mean and last of
// the full ones, and the last one's loss. A mean of reps that share their error has the mean of
// their standard errors (perfect correlation: the largest it can be).
#include "libkinetics/report/set_figures.h"

#include <catch2/catch.hpp>

using namespace kinetics;
using Catch::Matchers::WithinAbs;

namespace {

Rep rep(int number, Measured mean, Measured loss, RepKind kind = RepKind::kFull) {
  Rep out;
  out.number = number;
  out.kind = kind;
  out.mean_velocity_mps = mean;
  out.velocity_loss = loss;
  out.bottom_load_kg = Measured(95.0 + number, 0.2);
  out.mean_load_kg = Measured(98.0 + number, 0.2);
  out.top_load_kg = Measured(101.0 + number, 0.4);
  return out;
}

Session session_of(std::vector<Rep> reps) {
  Session out;
  out.reps = std::move(reps);
  return out;
}

}  // namespace

TEST_CASE("the figures of a set are those of its full reps", "[report][day]") {
  const Session session = session_of({rep(1, {0.70, 0.010}, {0.079, 0.01}),
                                      rep(2, {0.76, 0.012}, {0.0, 0.0}),
                                      rep(3, {0.64, 0.014}, {0.158, 0.02}),
                                      rep(4, {0.20, 0.010}, {0.74, 0.02}, RepKind::kPartial)});
  const SetFigures f = set_figures(session);
  CHECK(f.reps == 4);
  CHECK(f.fastest_mps == Measured(0.76, 0.012));
  CHECK(f.last_mps == Measured(0.64, 0.014));
  CHECK(f.loss == Measured(0.158, 0.02));
  REQUIRE(f.mean_mps.ok());
  CHECK_THAT(f.mean_mps.value(), WithinAbs(0.70, 1e-12));
  CHECK_THAT(f.mean_mps.sigma(), WithinAbs(0.012, 1e-12));
  CHECK_THAT(f.bottom_load_kg.value(), WithinAbs(97.0, 1e-12));
  CHECK_THAT(f.mean_load_kg.value(), WithinAbs(100.0, 1e-12));
  CHECK_THAT(f.top_load_kg.value(), WithinAbs(103.0, 1e-12));
}

TEST_CASE("a hidden rep leaves the fastest of the others and no mean", "[report][day]") {
  const Session session = session_of(
      {rep(1, {0.70, 0.010}, {0.0, 0.0}), rep(2, Reason::kDiscHidden, Reason::kDiscHidden)});
  const SetFigures f = set_figures(session);
  CHECK(f.fastest_mps == Measured(0.70, 0.010));
  REQUIRE_FALSE(f.mean_mps.ok());
  CHECK(f.mean_mps.reason() == Reason::kDiscHidden);
  REQUIRE_FALSE(f.last_mps.ok());
  CHECK(f.last_mps.reason() == Reason::kDiscHidden);
  CHECK_FALSE(f.loss.ok());
}

TEST_CASE("a set without a full rep has no figures", "[report][day]") {
  const SetFigures f = set_figures(session_of({rep(1, {0.2, 0.01}, {}, RepKind::kFailed)}));
  CHECK(f.reps == 1);
  CHECK_FALSE(f.fastest_mps.ok());
  CHECK_FALSE(f.mean_mps.ok());
  CHECK_FALSE(f.last_mps.ok());
  CHECK_FALSE(f.top_load_kg.ok());
}

TEST_CASE("flags are gathered by kind with the reps that carry them", "[report][day]") {
  Session session =
      session_of({rep(1, {0.70, 0.010}, {}), rep(2, {0.5, 0.01}, {}), rep(3, {}, {})});
  session.reps[1].flags = {FlagKind::kSlowed};
  session.reps[2].flags = {FlagKind::kSlowed, FlagKind::kNotMeasured};
  session.findings = {{.set = 1,
                       .rep = 1,
                       .kind = FindingKind::kHighBottom,
                       .certainty = Certainty::kLikely,
                       .evidence = "."}};
  const SetFigures f = set_figures(session);
  REQUIRE(f.flags.size() == 3);
  CHECK(in_words(f.flags[0]) == "maybe high bottom: rep 1");
  CHECK(in_words(f.flags[1]) == "slowed: reps 2, 3");
  CHECK(in_words(f.flags[2]) == "not measured: rep 3");
}

TEST_CASE("only the set that is asked for counts", "[report][day]") {
  Session session = session_of({rep(1, {0.70, 0.010}, {}), rep(1, {0.5, 0.01}, {})});
  session.reps[1].set = 2;
  CHECK(set_figures(session, 2).fastest_mps == Measured(0.5, 0.01));
}
