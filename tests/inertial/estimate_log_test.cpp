// Whole sets from a sensor's log against the lift they were made from (closed form, exact truth in
// tests/support/lifts). Bounds are the project's own targets for sensor logs.
#include "libkinetics/inertial/estimate_log.h"

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/reps.h"
#include "tests/inertial/sets.h"

using namespace kinetics;
using namespace kinetics_test;
using Catch::Matchers::Contains;

namespace {

constexpr double kRollEvery_s = 0.002;

SetTable reps_of(const SensorLog& log) {
  return find_reps(estimate_log_motion(log).motion);
}

// All kinds of set, a few of each.
template <typename Sensor>
Tally tally(int seeds, bool rests, Sensor sensor) {
  Tally out;
  for (const SetKind kind : kSetKinds) {
    for (int seed = 0; seed < seeds; ++seed) {
      const auto s = static_cast<std::uint32_t>(seed);
      const Lift lift = a_set(kind, s, rests);
      out.add(lift, reps_of(logged(lift, sensor(s, lift))));
    }
  }
  return out;
}

}  // namespace

TEST_CASE("with a gyroscope at 100 Hz all reps are found and their velocities hold", "[inertial]") {
  const Tally t =
      tally(6, true, [](std::uint32_t seed, const Lift&) { return ordinary_sensor(seed); });
  CHECK(t.found == t.truths);
  CHECK(t.measured == t.truths);
  CAPTURE(t.bias(), t.limits(), t.coverage());
  CHECK(std::abs(t.bias()) < 0.01);
  CHECK(t.limits() < 0.04);
  CHECK(t.coverage() >= 0.93);
  CHECK(t.rom_covered >= 0.93 * t.measured);
}

TEST_CASE("a log cut from the middle of a set, without any rest, counts the same", "[inertial]") {
  const Tally t =
      tally(5, false, [](std::uint32_t seed, const Lift&) { return ordinary_sensor(seed); });
  CHECK(t.found == t.truths);
  CAPTURE(t.bias(), t.limits(), t.coverage());
  CHECK(t.limits() < 0.04);
  CHECK(t.coverage() >= 0.93);
}

TEST_CASE("a sensor that turns with the bar or the sleeve counts the same", "[inertial]") {
  const double turn_rad = GENERATE(0.5, 3.0);  // over half a metre
  CAPTURE(turn_rad);
  const Tally t = tally(2, true, [&](std::uint32_t seed, const Lift& lift) {
    Logging l = ordinary_sensor(seed);
    l.spin_rad = [&lift, turn_rad](double s) {
      return turn_rad * (lift.height_m(std::min(s, lift.length_s())) - 1.0) / 0.5;
    };
    return l;
  });
  CHECK(t.found == t.truths);
  CAPTURE(t.bias(), t.limits());
  CHECK(t.limits() < 0.06);
}

TEST_CASE("a sleeve that ends each rep in another attitude counts the same", "[inertial]") {
  // It rolls one way on the way up and less far back on the way down: 140 degrees over half a metre
  // in the wildest case, so that no two reps begin alike.
  const double up_radpm = GENERATE(2.5, 4.9);
  CAPTURE(up_radpm);
  const Tally t = tally(2, true, [&](std::uint32_t seed, const Lift& lift) {
    std::vector<double> roll{0.0};
    for (double s = kRollEvery_s; s < lift.length_s(); s += kRollEvery_s) {
      const double rise = lift.height_m(s) - lift.height_m(s - kRollEvery_s);
      roll.push_back(roll.back() + rise * (rise > 0.0 ? up_radpm : 0.6 * up_radpm));
    }
    Logging l = ordinary_sensor(seed);
    l.spin_rad = [roll](double s) {
      const double at = std::clamp(s / kRollEvery_s, 0.0, static_cast<double>(roll.size() - 1));
      const auto i = std::min(static_cast<std::size_t>(at), roll.size() - 2);
      return std::lerp(roll[i], roll[i + 1], at - static_cast<double>(i));
    };
    return l;
  });
  CHECK(t.found == t.truths);
  CAPTURE(t.bias(), t.limits());
  CHECK(t.limits() < 0.06);
}

TEST_CASE("a sensor upside down or on its side tells the same motion", "[inertial]") {
  const Lift lift = a_set(SetKind::kBench, 3);
  Logging l;
  const Motion upright = estimate_log_motion(logged(lift, l)).motion;
  for (const int axis : {0, 1}) {
    for (const double angle : {M_PI, M_PI / 2.0}) {
      l.world_from_sensor =
          Eigen::Quaterniond(Eigen::AngleAxisd(angle, Eigen::Vector3d::Unit(axis)));
      const Motion turned = estimate_log_motion(logged(lift, l)).motion;
      REQUIRE(turned.samples.size() == upright.samples.size());
      for (std::size_t i = 0; i < turned.samples.size(); i += 20) {
        CHECK(std::abs(turned.samples[i].velocity_mps - upright.samples[i].velocity_mps) < 0.03);
      }
    }
  }
}

TEST_CASE("an accelerometer alone counts right and owns up to what it cannot know", "[inertial]") {
  const double rate_hz = GENERATE(25.0, 12.5);
  const bool rests = rate_hz > 20.0;
  CAPTURE(rate_hz);
  const Tally t = tally(3, rests, [&](std::uint32_t seed, const Lift&) {
    Logging l = ordinary_sensor(seed);
    l.gyroscope = false;
    l.rate_hz = rate_hz;
    return l;
  });
  // One grinder in a hundred reps may go unseen: its acceleration is in the noise.
  CHECK(std::abs(t.found - t.truths) <= 1);
  CAPTURE(t.bias(), t.limits(), t.coverage());
  CHECK(t.coverage() >= 0.90);
}

TEST_CASE("a bar that slows harder than gravity would is followed without a gyroscope too",
          "[inertial]") {
  // 0.6 m in 0.52 s: a minimum-jerk rise slows by 5.77 · 0.6 / 0.52² = 12.8 m/s² at most (T. Flash,
  // N. Hogan, J Neurosci 1985; 5:1688-1703).
  Lift lift(1.0);
  lift.rest(3.0);
  for (int i = 0; i < kRepsOfSet; ++i) lift.move(-0.6, 1.2).rest(0.6).rep(0.6, 0.52).rest(1.0);
  lift.rest(3.0);
  Logging l = ordinary_sensor(6);
  l.gyroscope = false;
  Tally t;
  t.add(lift, reps_of(logged(lift, l)));
  CHECK(t.found == t.truths);
  REQUIRE(t.measured == t.truths);
  CAPTURE(t.bias(), t.limits());
  CHECK(std::abs(t.bias()) < 0.06);
  CHECK(t.covered == t.measured);
}

TEST_CASE("a sleeve may go round three times a rep, and sigmas between samples stay theirs",
          "[inertial]") {
  const Lift lift = a_set(SetKind::kSquat, 7);
  Logging l = ordinary_sensor(7);
  l.spin_rad = [&lift](double s) {
    return 6.0 * M_PI * (lift.height_m(std::min(s, lift.length_s())) - 1.0) / 0.6;
  };
  const Motion motion = estimate_log_motion(logged(lift, l)).motion;
  Tally t;
  t.add(lift, find_reps(motion));
  CHECK(t.found == t.truths);
  CAPTURE(t.bias(), t.limits());
  CHECK(std::abs(t.bias()) < 0.04);
  for (std::size_t i = 0; i + 1 < motion.samples.size(); ++i) {
    const MotionSample& from = motion.samples[i];
    const MotionSample& to = motion.samples[i + 1];
    if (!motion.links[i].joined || !(motion.links[i].slack_m2 > 1e-7)) continue;
    const double between = state_at(motion, 0.5 * (from.t_s + to.t_s)).velocity_sigma_mps;
    CHECK(between <= std::max(from.velocity_sigma_mps, to.velocity_sigma_mps) + 1e-9);
  }
}

TEST_CASE("clipped readings widen the interval and keep the count", "[inertial]") {
  Logging l = ordinary_sensor(4);
  l.range_mps2 = 13.0;  // a speed rep asks for 20
  const Lift lift = a_set(SetKind::kSpeed, 4);
  const SetTable table = reps_of(logged(lift, l));
  CHECK(table.reps.size() == kRepsOfSet);
}

TEST_CASE("a sensor carried about before the set makes no rep", "[inertial]") {
  // Lifted by 0.6 m and turned over, laid down again, before the set.
  Lift lift(1.0);
  lift.rest(3.0).move(0.6, 1.2).rest(0.3).move(-0.6, 1.2).rest(4.0);
  for (int i = 0; i < 5; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.2).sway(1.5, 0.002, 0.7);
  lift.rest(4.0);
  Logging l = ordinary_sensor(2);
  l.spin_rad = [](double t) {
    const double s = std::clamp((t - 3.0) / 2.7, 0.0, 1.0);
    return 2.0 * s * s * (3.0 - 2.0 * s);
  };
  CHECK(reps_of(logged(lift, l)).reps.size() == 5);
}

TEST_CASE("a rest of an hour costs next to nothing", "[inertial]") {
  Lift lift = a_set(SetKind::kDeadlift, 1);
  lift.rest(1800.0);
  const LogMotion estimate = estimate_log_motion(logged(lift, ordinary_sensor(1)));
  CHECK(estimate.motion.samples.size() < 14000);  // 5 a second of rest, 100 of the set
  CHECK(find_reps(estimate.motion).reps.size() == kRepsOfSet);
  CHECK(estimate.facts.still_s > 1700.0);
}

TEST_CASE("a log of positions goes the way of a clip", "[inertial]") {
  const Lift lift = a_set(SetKind::kBench, 5);
  SensorLog log;
  log.rate_hz = 50.0;
  log.height_step_m = 0.001;
  for (double t = 0.0; t < lift.length_s(); t += 0.02) {
    log.positions.push_back({t, std::round((lift.height_m(t) - 1.0) / 0.001) * 0.001});
  }
  const SetTable table = find_reps(estimate_log_motion(log).motion);
  Tally t;
  t.add(lift, table);
  CHECK(t.found == t.truths);
  CHECK(t.limits() < 0.02);
}

TEST_CASE("a log that cannot be used is refused with a reason and a mend", "[inertial]") {
  CHECK_THROWS_WITH(estimate_log_motion({}), Contains("too little"));
  const Lift lift = a_set(SetKind::kBench, 1);
  SensorLog in_g = logged(lift);
  for (SensorSample& s : in_g.samples) s.accel_mps2 /= 9.8F;
  CHECK_THROWS_WITH(estimate_log_motion(in_g), Contains("nowhere near gravity"));
  CHECK_THROWS_AS(estimate_log_motion(logged(lift), {.gravity_mps2 = 1.0}), Error);
  CHECK_THROWS_AS(estimate_log_motion(logged(lift), {.rate_hz = 0.0}), Error);
}
