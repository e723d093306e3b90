// Clip and log of one lift joined, against the lift in closed form. Bounds are the project's
// targets for fused estimates.
#include "libkinetics/inertial/fuse.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/reps.h"
#include "tests/inertial/sets.h"

using namespace kinetics;
using namespace kinetics_test;
using Catch::Matchers::Contains;

namespace {

struct Pair {
  Lift lift;
  BarPath path;
  SensorLog log;
  double offset_s = 0.0;
  double skew = 0.0;
};

Pair a_pair(SetKind kind, std::uint32_t seed, double hidden_s = 0.0, double log_rate_hz = 100.0) {
  Pair out;
  out.lift = a_set(kind, seed);
  Logging l = ordinary_sensor(seed);
  l.rate_hz = log_rate_hz;
  l.from_s = 0.4 + 0.3 * (seed % 5);
  out.offset_s = l.from_s;
  out.skew = (static_cast<double>(seed % 7) - 3.0) * 25e-6;
  out.log = logged(out.lift, l);
  for (SensorSample& s : out.log.samples) s.t_s /= 1.0 + out.skew;
  Filming f;
  f.sigma_m = 0.0007;
  f.seed = seed + 5U;
  f.scale = 1.0 + 0.002 * (static_cast<double>(seed % 3) - 1.0);
  if (hidden_s > 0.0) {
    for (const TrueRep& rep : out.lift.truth()) {
      f.hidden.push_back({rep.start_s + 0.1, rep.start_s + 0.1 + hidden_s});
    }
  }
  out.path = filmed(out.lift, f);
  out.path.scale_sigma_rel = 0.002;
  return out;
}

}  // namespace

TEST_CASE("joined they are never worse than the better of the two", "[inertial]") {
  Tally fused;
  Tally clip;
  double offset_square = 0.0;
  double skew_square = 0.0;
  int pairs = 0;
  for (const SetKind kind : kSetKinds) {
    for (std::uint32_t seed = 0; seed < 3; ++seed) {
      const Pair pair = a_pair(kind, seed);
      const FusedMotion joined = fuse(pair.path, pair.log);
      CHECK(joined.motion.samples.size() == pair.path.points.size());
      fused.add(pair.lift, find_reps(joined.motion));
      clip.add(pair.lift, find_reps(estimate_motion(pair.path)));
      const ClockFit& c = joined.clock;
      CHECK(std::abs(c.offset_s.value() - pair.offset_s) < 0.005);
      offset_square += std::pow((c.offset_s.value() - pair.offset_s) / c.offset_s.sigma(), 2);
      skew_square += std::pow((c.skew.value() - pair.skew) / c.skew.sigma(), 2);
      ++pairs;
    }
  }
  CHECK(fused.found == fused.truths);
  CAPTURE(fused.bias(), fused.limits(), fused.coverage(), clip.limits());
  CHECK(fused.limits() < 0.015);
  CHECK(fused.limits() <= clip.limits());
  CHECK(fused.coverage() >= 0.93);
  // Chi-square over the pairs: beyond 1.8 times its mean with a chance of 1 in 100.
  CAPTURE(offset_square / pairs, skew_square / pairs);
  CHECK(offset_square / pairs < 1.8);
  CHECK(skew_square / pairs < 1.8);
}

TEST_CASE("the log fills half a second of the concentric phase that the clip did not see",
          "[inertial]") {
  Tally fused;
  for (const SetKind kind : kSetKinds) {
    const Pair pair = a_pair(kind, 2, 0.5);
    fused.add(pair.lift, find_reps(fuse(pair.path, pair.log).motion));
  }
  CHECK(fused.found == fused.truths);
  CHECK(fused.measured == fused.truths);
  CAPTURE(fused.bias(), fused.limits(), fused.coverage());
  CHECK(fused.limits() < 0.015);
}

TEST_CASE("a log of another set is refused in words", "[inertial]") {
  for (const SetKind kind : {SetKind::kSquat, SetKind::kBench, SetKind::kGrind}) {
    const Pair one = a_pair(kind, 1);
    const Pair other = a_pair(kind, 2);
    CHECK_THROWS_WITH(fuse(one.path, other.log), Contains("do not tell of the same movement"));
  }
}

TEST_CASE("a log that hardly overlaps the clip is refused", "[inertial]") {
  Pair pair = a_pair(SetKind::kSquat, 1);
  std::erase_if(pair.log.samples, [](const SensorSample& s) { return s.t_s > 3.5; });
  CHECK_THROWS_AS(fuse(pair.path, pair.log), Error);
}

TEST_CASE("a log of positions is not joined with a clip", "[inertial]") {
  Pair pair = a_pair(SetKind::kSquat, 1);
  SensorLog cable;
  cable.positions.push_back({0.0, 0.0});
  CHECK_THROWS_WITH(fuse(pair.path, cable), Contains("positions"));
}
