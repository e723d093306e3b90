// The truth the renderer states against motions known in closed form.
// Minimum jerk: x = R(10s³ − 15s⁴ + 6s⁵), T. Flash, N. Hogan, J Neurosci 1985; 5:1688–1703. Its
// rate 30R/T s²(1−s)² passes the threshold where s(1−s) = √(0.02 T/(30 R)), so start, end, range
// and mean follow by hand. Tolerance 1e-9: root finding to rounding.
#include "samples/render/motion.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "samples/render/fall.h"
#include "samples/render/script.h"

using Catch::Matchers::WithinAbs;

namespace {

render::Curve risen(double rise_m, double time_s, std::shared_ptr<const render::Shape> shape) {
  render::Curve height(0.5);
  height.move(1.0, 1.0 + time_s, 0.5 + rise_m, std::move(shape));
  return height;
}

double minimum_jerk_at(double s) {
  return s * s * s * (10.0 + s * (6.0 * s - 15.0));
}

}  // namespace

TEST_CASE("a minimum-jerk rise has the range, times and velocities worked out by hand",
          "[render]") {
  const double rise = GENERATE(0.3, 0.6);
  const double time = GENERATE(0.5, 1.0, 2.0);
  CAPTURE(rise, time);
  const render::Curve height = risen(rise, time, render::minimum_jerk());
  const render::RepTruth rep =
      render::measure({.rise_start_s = 1.0, .rise_end_s = 1.0 + time}, height);
  const double q = std::sqrt(0.02 * time / (30.0 * rise));
  const double s = 0.5 * (1.0 - std::sqrt(1.0 - 4.0 * q));
  const double range = rise * (minimum_jerk_at(1.0 - s) - minimum_jerk_at(s));
  CHECK_THAT(rep.start_s, WithinAbs(1.0 + s * time, 1e-9));
  CHECK_THAT(rep.end_s, WithinAbs(1.0 + (1.0 - s) * time, 1e-9));
  CHECK_THAT(rep.rom_m, WithinAbs(range, 1e-9));
  CHECK_THAT(rep.mean_velocity_mps, WithinAbs(range / ((1.0 - 2.0 * s) * time), 1e-9));
  CHECK_THAT(rep.peak_velocity_mps, WithinAbs(1.875 * rise / time, 1e-9));
  CHECK_THAT(rep.time_to_peak_s, WithinAbs((0.5 - s) * time, 1e-6));
}

TEST_CASE("the propulsive part ends where the bar first brakes harder than gravity", "[render]") {
  // R = 0.6 m, T = 0.5 s: acceleration reaches −9.80665 m/s² at 0.324797102 s, 0.458520128 m up
  // (worked out from the closed form; the phase is M. Sánchez-Medina et al., Int J Sports Med
  // 2010; 31:123–129). Tolerance: the digits shown.
  const render::Curve height = risen(0.6, 0.5, render::minimum_jerk());
  const render::RepTruth rep = render::measure({.rise_start_s = 1.0, .rise_end_s = 1.5}, height);
  const double s = 0.5 * (1.0 - std::sqrt(1.0 - 4.0 * std::sqrt(0.02 * 0.5 / (30.0 * 0.6))));
  const double expected = (0.458520128 - 0.6 * minimum_jerk_at(s)) / (0.324797102 - 0.5 * s);
  CHECK_THAT(rep.propulsive_velocity_mps, WithinAbs(expected, 1e-7));
}

TEST_CASE("a slow rise has no braking part", "[render]") {
  const render::Curve height = risen(0.6, 1.0, render::minimum_jerk());
  const render::RepTruth rep = render::measure({.rise_start_s = 1.0, .rise_end_s = 2.0}, height);
  CHECK_THAT(rep.propulsive_velocity_mps, WithinAbs(rep.mean_velocity_mps, 1e-12));
}

TEST_CASE("a dip in the middle does not end a repetition", "[render]") {
  // The dip takes nearly all speed away: below the threshold for a while.
  const render::Curve height = risen(0.6, 2.5, render::two_humps(0.99, 0.5, 0.1));
  const render::RepTruth rep = render::measure({.rise_start_s = 1.0, .rise_end_s = 3.5}, height);
  REQUIRE(height.at(2.25).rate < 0.02);
  CHECK(rep.end_s - rep.start_s > 2.2);
  CHECK(rep.rom_m > 0.59);
}

TEST_CASE("every shape's rates are the derivatives of its path", "[render]") {
  // Central differences of step h are off by h²/6 of the third derivative: 1e-6 at h = 1e-4.
  const auto shape = GENERATE(render::minimum_jerk(),
                              render::skewed(1.6, 3.0),
                              render::skewed(2.0, 1.25),
                              render::two_humps(0.8, 0.45, 0.16),
                              render::turning(8.0, 0.0),
                              render::turning(0.0, -9.0));
  constexpr double kStep = 1e-4;
  CHECK_THAT(shape->at(0.0).value, WithinAbs(0.0, 1e-12));
  CHECK_THAT(shape->at(1.0).value, WithinAbs(1.0, 1e-9));
  for (double s = 0.05; s < 0.96; s += 0.05) {
    CAPTURE(s);
    const render::Jet lo = shape->at(s - kStep), mid = shape->at(s), hi = shape->at(s + kStep);
    CHECK_THAT(mid.rate, WithinAbs((hi.value - lo.value) / (2.0 * kStep), 2e-5));
    CHECK_THAT(mid.accel, WithinAbs((hi.rate - lo.rate) / (2.0 * kStep), 2e-4));
  }
}

TEST_CASE("scripted lifts are smooth and their truth agrees with itself", "[render]") {
  const std::string lift = GENERATE("squat", "box_squat", "bench", "deadlift", "press", "row");
  const std::string shape = GENERATE("smooth", "grinder", "speed");
  const double pause = GENERATE(0.0, 0.8);
  CAPTURE(lift, shape, pause);
  render::MotionSpec spec;
  spec.sets = {{.lift = lift, .reps = 4, .pause_s = pause, .shape = shape}};
  const render::BarMotion bar = render::script_motion(spec, 5);
  REQUIRE(bar.reps.size() == 4);
  double before_s = 0.0;
  for (const render::RepMark& mark : bar.reps) {
    const render::RepTruth rep = render::measure(mark, bar.height);
    CHECK(rep.start_s > before_s);
    before_s = rep.end_s;
    CHECK_THAT(rep.mean_velocity_mps * (rep.end_s - rep.start_s), WithinAbs(rep.rom_m, 1e-12));
    CHECK_THAT(bar.height.at(rep.start_s).rate, WithinAbs(0.02, 1e-9));
    CHECK_THAT(bar.height.at(rep.end_s).rate, WithinAbs(0.02, 1e-9));
    CHECK(rep.peak_velocity_mps > rep.mean_velocity_mps);
    CHECK(rep.rom_m > 0.25);
  }
  // No jumps in speed: what 0.1 ms can change at 60 m/s² is 0.006 m/s.
  for (double t = 0.0; t < bar.end_s; t += 1e-4) {
    const double step = bar.height.at(t + 1e-4).rate - bar.height.at(t).rate;
    if (std::abs(step) > 0.006) FAIL("speed jumps at " << t << " s by " << step);
  }
}

TEST_CASE("a dropped bar falls as bodies fall and bounces to rest", "[render]") {
  // Free fall over h ends at √(2 a h) after √(2 h/a); a rebound with a quarter of the speed rises
  // to a sixteenth of the height that gravity alone would have needed for the whole.
  const double accel = GENERATE(7.0, 9.80665);
  const render::Fall drop = render::fall(0.5, accel);
  render::Curve height(0.7);
  height.move(0.0, drop.length_s, 0.2, drop.shape);
  const render::Jet landing = height.at(drop.lands_s);
  CHECK_THAT(0.7 - landing.value, WithinAbs(0.5 * accel * drop.lands_s * drop.lands_s, 1e-9));
  CHECK_THAT(landing.rate, WithinAbs(-accel * drop.lands_s, 1e-9));
  double fastest_up = 0.0;
  for (double t = 0.0; t < drop.length_s; t += 1e-4)
    fastest_up = std::max(fastest_up, height.at(t).rate);
  CHECK_THAT(fastest_up, WithinAbs(-0.25 * landing.rate, 2e-3));  // a scan in steps of 0.1 ms
  CHECK_THAT(height.at(drop.length_s - 1e-12).rate, WithinAbs(0.0, 1e-6));
  CHECK_THAT(height.at(drop.length_s - 1e-12).value, WithinAbs(0.2, 1e-9));
}

TEST_CASE("cut and failed repetitions are said to be so", "[render]") {
  render::MotionSpec spec;
  spec.sets = {{.lift = "squat", .reps = 4, .last_rep = "failed", .partial_reps = {2}}};
  const render::BarMotion bar = render::script_motion(spec, 5);
  std::vector<std::string> kinds;
  for (const render::RepMark& mark : bar.reps) kinds.push_back(mark.kind);
  // After a cut repetition the bar goes down again and up in full.
  CHECK(kinds == std::vector<std::string>{"full", "partial", "full", "full", "failed"});
}
