// What is measured of a rep, against closed forms and laws.
//
// Minimum jerk: T. Flash, N. Hogan, J Neurosci 1985. Mean propulsive velocity: L. Sánchez-Medina,
// C. E. Perez, J. J. González-Badillo, Int J Sports Med 2010; 31:123-129, with -9.80665 m/s2
// (threshold from memory: -9.81). Velocity loss: L. Sánchez-Medina, J. J. González-Badillo, Med Sci
// Sports Exerc 2011; 43:1725-1734. The closed forms are over the whole movement; the phase between
// the 0.02 m/s crossings is a little shorter, which tests/support/lifts takes into account.
#include "libkinetics/kinematics/reps.h"

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

SetTable reps_of(const BarPath& path, const RepOptions& options = {}) {
  return find_reps(estimate_motion(path), options);
}

// A set of squats, every rep its own duration.
Lift squats(std::initializer_list<double> durations_s, Shape shape = Shape::kMinimumJerk) {
  Lift lift(1.0);
  lift.rest(1.5);
  for (const double t : durations_s) lift.move(-0.6, 1.3).rest(0.4).rep(0.6, t, shape).rest(1.2);
  return lift;
}

bool flagged(const Rep& rep, FlagKind flag) {
  return std::find(rep.flags.begin(), rep.flags.end(), flag) != rep.flags.end();
}

}  // namespace

TEST_CASE("a minimum-jerk rise of 0.6 m in 1 s", "[kinematics]") {
  // Project target at 1080p60: bias of 0.004 m/s in the mean, 0.01 m/s in the peak.
  const Lift lift = squats({1.0});
  const Rep rep = reps_of(filmed(lift, {.rate_hz = 240.0, .sigma_m = 2e-5})).reps.at(0);
  const TrueRep truth = lift.truth().at(0);
  CHECK(rep.mean_velocity_mps.value() == Approx(truth.mean_mps).margin(0.004));
  CHECK(rep.peak_velocity_mps.value() == Approx(1.125).margin(0.005));
  CHECK(rep.rom_m.value() == Approx(0.6).margin(0.002));
  // Acceleration never falls below -g (its largest is 3.46 m/s2), so all of it is propulsive.
  CHECK(rep.propulsive_velocity_mps.value() == rep.mean_velocity_mps.value());
  CHECK(rep.time_to_peak_s.value() == Approx(truth.peak_at_s - truth.start_s).margin(0.01));
}

TEST_CASE("a rise in half a second is propulsive for 0.3248 s only", "[kinematics]") {
  // Falls below -9.80665 m/s2 at 0.324797102 s and 0.458520128 m: 1.41171250 m/s from the start
  // of the movement. From the 0.02 m/s crossing it is a little more.
  const Lift lift = squats({0.5});
  const Rep rep = reps_of(filmed(lift, {.rate_hz = 240.0, .sigma_m = 5e-5})).reps.at(0);
  const TrueRep truth = lift.truth().at(0);
  CHECK(truth.propulsive_mps == Approx(1.4117).margin(0.06));
  CHECK(rep.propulsive_velocity_mps.value() == Approx(truth.propulsive_mps).margin(0.03));
  CHECK(rep.propulsive_velocity_mps.value() > rep.mean_velocity_mps.value() + 0.1);
  CHECK(rep.peak_velocity_mps.value() == Approx(2.25).margin(0.01));
}

TEST_CASE("half sine: the mean is 2/pi of the peak", "[kinematics]") {
  const Lift lift = squats({0.9}, Shape::kHalfSine);
  const Rep rep = reps_of(filmed(lift, {.rate_hz = 240.0, .sigma_m = 5e-5})).reps.at(0);
  // 0.6 m in 0.9 s: mean 0.6667, peak pi/2 of it. Both ends pass 0.02 m/s within 6 ms.
  CHECK(rep.peak_velocity_mps.value() == Approx(0.6 / 0.9 * 1.5707963).margin(0.005));
  CHECK(rep.mean_velocity_mps.value() / rep.peak_velocity_mps.value() ==
        Approx(0.636619772).margin(0.008));
}

TEST_CASE("two humps: peaks of 1.0758 and a dip of half the amplitude", "[kinematics]") {
  const double length_s = 1.5;
  const Lift lift = squats({length_s}, Shape::kTwoHumps);
  const Motion motion = estimate_motion(filmed(lift, {.rate_hz = 120.0, .sigma_m = 5e-5}));
  const Rep rep = find_reps(motion).reps.at(0);
  const double amplitude = 0.6 / (0.742723068 * length_s);
  CHECK(rep.peak_velocity_mps.value() == Approx(1.07582871 * amplitude).margin(0.005));
  // The movement itself starts at 1.5 + 1.3 + 0.4 s.
  CHECK(state_at(motion, 3.2 + 0.5 * length_s).velocity_mps ==
        Approx(0.5 * amplitude).margin(0.005));
  CHECK(state_at(motion, 3.2 + 0.22334981 * length_s).height_m - 0.4 ==
        Approx(0.6 * 0.209042813).margin(0.002));
}

TEST_CASE("the threshold moves both ends, and the numbers keep their definition", "[kinematics]") {
  const Lift lift = squats({1.2});
  const double threshold = GENERATE(0.01, 0.02, 0.05, 0.10);
  CAPTURE(threshold);
  const Rep rep = reps_of(filmed(lift, {.sigma_m = 1e-4}), {.threshold_mps = threshold}).reps.at(0);
  const TrueRep truth = lift.truth(threshold).at(0);
  CHECK(rep.start_s == Approx(truth.start_s).margin(0.012));
  CHECK(rep.end_s == Approx(truth.end_s).margin(0.012));
  CHECK(rep.mean_velocity_mps.value() ==
        Approx(rep.rom_m.value() / rep.concentric_s.value()).epsilon(1e-9));
  CHECK(rep.mean_velocity_mps.value() == Approx(truth.mean_mps).margin(0.01));
}

TEST_CASE("velocity loss counts from the fastest rep", "[kinematics]") {
  // 0.95, 1.00, 0.80: 20 % from the fastest, 15.79 % from the first.
  const Lift lift = squats({0.6 / 0.95, 0.6 / 1.00, 0.6 / 0.80});
  const SetTable table = reps_of(filmed(lift, {.rate_hz = 240.0, .sigma_m = 5e-5}));
  REQUIRE(table.reps.size() == 3);
  const auto truth = lift.truth();
  CHECK(table.reps[1].velocity_loss.value() == 0.0);
  CHECK(table.reps[2].velocity_loss.value() ==
        Approx(1.0 - truth[2].mean_mps / truth[1].mean_mps).margin(0.01));
  CHECK(table.reps[2].velocity_loss.value() == Approx(0.20).margin(0.02));
}

TEST_CASE("slowed beyond doubt, maybe slowed, and not slowed", "[kinematics]") {
  const double loss = GENERATE(0.05, 0.20, 0.35);
  CAPTURE(loss);
  const Lift lift = squats({1.0, 1.0 / (1.0 - loss)});
  const SetTable table = reps_of(filmed(lift));
  REQUIRE(table.reps.size() == 2);
  CHECK_FALSE(flagged(table.reps[0], FlagKind::kSlowed));
  CHECK(flagged(table.reps[1], FlagKind::kSlowed) == (loss > 0.3));
  CHECK(flagged(table.reps[1], FlagKind::kMaybeSlowed) == (loss == 0.20));
}

TEST_CASE("an error of scale widens every velocity but no loss", "[kinematics]") {
  BarPath path = filmed(squats({1.0, 1.2}));
  const SetTable sharp = reps_of(path);
  path.scale_sigma_rel = 0.02;
  const SetTable blurred = reps_of(path);
  const double mean = sharp.reps[1].mean_velocity_mps.value();
  CHECK(blurred.reps[1].mean_velocity_mps.sigma() ==
        Approx(std::hypot(sharp.reps[1].mean_velocity_mps.sigma(), 0.02 * mean)).epsilon(1e-9));
  CHECK(blurred.reps[1].rom_m.sigma() > 0.011);
  CHECK(blurred.reps[1].velocity_loss == sharp.reps[1].velocity_loss);
}

TEST_CASE("an unknown readout time widens with the square of the velocity", "[kinematics]") {
  BarPath path = filmed(squats({1.0}));
  const Rep sharp = reps_of(path).reps.at(0);
  path.shutter_sigma_s_per_m = 0.005;
  const Rep blurred = reps_of(path).reps.at(0);
  const double peak = sharp.peak_velocity_mps.value();
  CHECK(blurred.peak_velocity_mps.sigma() ==
        Approx(std::hypot(sharp.peak_velocity_mps.sigma(), 0.005 * peak * peak)).epsilon(1e-9));
}

TEST_CASE("law: later, higher or aside, the numbers stay", "[kinematics]") {
  BarPath path = filmed(squats({0.9, 1.4}), {.jitter_s = 0.002});
  const SetTable here = reps_of(path);
  for (PathPoint& p : path.points) {
    p.t_s += 1000.0;
    p.y_m += 3.0;
    p.x_m -= 2.0;
  }
  const SetTable there = reps_of(path);
  REQUIRE(there.reps.size() == here.reps.size());
  for (std::size_t i = 0; i < here.reps.size(); ++i) {
    // Rounding at 1000 s is 1e-13 s; bisection ends near 1e-9 of a frame.
    CHECK(there.reps[i].start_s - 1000.0 == Approx(here.reps[i].start_s).margin(1e-5));
    CHECK(there.reps[i].mean_velocity_mps.value() ==
          Approx(here.reps[i].mean_velocity_mps.value()).epsilon(1e-5));
    CHECK(there.reps[i].peak_velocity_mps.value() ==
          Approx(here.reps[i].peak_velocity_mps.value()).epsilon(1e-5));
  }
}

TEST_CASE("law: an order of magnitude in the stated sigma changes nothing", "[kinematics]") {
  BarPath path = filmed(squats({1.0}));
  const Motion once = estimate_motion(path);
  const Rep stated = find_reps(once).reps.at(0);
  for (PathPoint& p : path.points) p.sigma_x_m = p.sigma_y_m = 10.0 * p.sigma_y_m;
  const Motion motion = estimate_motion(path);
  CHECK(motion.noise_scale == Approx(0.1 * once.noise_scale).epsilon(0.05));
  // Three standard errors, 1/sqrt(2 n), of a scale from some 250 values.
  CHECK(once.noise_scale == Approx(1.0).epsilon(0.14));
  const Rep other = find_reps(motion).reps.at(0);
  CHECK(other.mean_velocity_mps.value() == Approx(stated.mean_velocity_mps.value()).margin(0.002));
  CHECK(other.mean_velocity_mps.sigma() == Approx(stated.mean_velocity_mps.sigma()).epsilon(0.15));
}

TEST_CASE("law: backwards in time a rise is a descent of the same speed", "[kinematics]") {
  BarPath path = filmed(squats({1.1}), {.jitter_s = 0.002});
  const Motion forth = estimate_motion(path);
  const double last_s = path.points.back().t_s;
  std::reverse(path.points.begin(), path.points.end());
  for (PathPoint& p : path.points) p.t_s = last_s - p.t_s;
  const Motion back = estimate_motion(path);
  const std::size_t n = path.points.size();
  for (std::size_t i = 5; i + 5 < n; ++i) {
    // The noise scale is read from innovations, which run one way; it may shift a velocity by a
    // part of its own standard error and no more.
    const double change = back.samples[i].velocity_mps + forth.samples[n - 1 - i].velocity_mps;
    CHECK(std::abs(change) < 0.5 * forth.samples[n - 1 - i].velocity_sigma_mps);
  }
}

TEST_CASE("law: every second frame gives the same rep within its interval", "[kinematics]") {
  const Lift lift = squats({0.9, 1.3});
  BarPath path = filmed(lift, {.rate_hz = 120.0});
  const SetTable all = reps_of(path);
  std::vector<PathPoint> half;
  for (std::size_t i = 0; i < path.points.size(); i += 2) half.push_back(path.points[i]);
  path.points = half;
  const SetTable some = reps_of(path);
  REQUIRE(some.reps.size() == all.reps.size());
  for (std::size_t i = 0; i < all.reps.size(); ++i) {
    const double change =
        some.reps[i].mean_velocity_mps.value() - all.reps[i].mean_velocity_mps.value();
    CHECK(std::abs(change) < 2.5 * some.reps[i].mean_velocity_mps.sigma());
    CHECK(some.reps[i].mean_velocity_mps.sigma() > all.reps[i].mean_velocity_mps.sigma());
  }
}

TEST_CASE("too few frames in a rep are said", "[kinematics]") {
  const Lift lift = squats({0.5});
  const SetTable table = reps_of(filmed(lift, {.rate_hz = 7.0, .sigma_m = 1e-4}));
  for (const Rep& rep : table.reps) {
    if (rep.mean_velocity_mps.ok()) continue;
    CHECK(rep.mean_velocity_mps.reason() == Reason::kTooFewFrames);
  }
}

TEST_CASE("options out of range are refused", "[kinematics][bad-input]") {
  const Motion motion = estimate_motion(filmed(squats({1.0})));
  CHECK_THROWS_WITH(find_reps(motion, {.threshold_mps = 0.0}), Catch::Contains("threshold"));
  CHECK_THROWS_WITH(find_reps(motion, {.slowed_loss = 1.5}), Catch::Contains("loss"));
  CHECK_THROWS_WITH(find_reps(motion, {.min_rise_m = -1.0}), Catch::Contains("rise"));
  CHECK_THROWS_WITH(find_reps(motion, {.set_gap_s = 0.0}), Catch::Contains("rest"));
}

TEST_CASE("the flags and kinds have their words", "[kinematics]") {
  CHECK(in_words(FlagKind::kMaybeSlowed) == "maybe-slowed");
  CHECK(in_words(FlagKind::kNotMeasured) == "not-measured");
  CHECK(in_words(RepKind::kFailed) == "failed");
}
