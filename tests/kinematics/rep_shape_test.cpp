// The shape of a rep on movements known in closed form: how far the bar strays, how even the
// descent is, whether it rocks, and how still the lockout is. Without a published source: geometry.
#include "libkinetics/kinematics/rep_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "tests/kinematics/made_path.h"

using namespace kinetics;
using namespace kinetics_test;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double kPi = std::numbers::pi;

double smooth(double t_s, double from_s, double takes_s) {  // 0 to 1, minimum jerk
  const double s = std::clamp((t_s - from_s) / takes_s, 0.0, 1.0);
  return s * s * s * (10.0 - 15.0 * s + 6.0 * s * s);
}

// Down over 1.5 s from 1 s, a pause from 2.5 s to 4 s, up over 1.2 s to 5.2 s, down again at 7 s.
double squat(double t_s) {
  return 0.6 * (1.0 - smooth(t_s, 1.0, 1.5) + smooth(t_s, 4.0, 1.2) - smooth(t_s, 7.0, 1.5));
}

// One there-and-back between two instants, faded in and out.
double hump(double t_s, double from_s, double takes_s) {
  const double s = (t_s - from_s) / takes_s;
  if (s <= 0.0 || s >= 1.0) return 0.0;
  return 0.5 * (1.0 - std::cos(2.0 * kPi * s));
}

Rep first_rep(const MadePath& m) {
  const SetTable table = find_reps(estimate_motion(made(m)));
  REQUIRE(!table.reps.empty());
  return table.reps.front();
}

MadePath path_of(const std::function<double(double)>& height) {
  return {.height_m = height, .length_s = 9.0, .sigma_m = 0.0003};
}

}  // namespace

TEST_CASE("the bar's path is told by where it ends and how far it strays on the way",
          "[kinematics]") {
  // Leans back by 4 cm over the rise and swings out 3 cm on top, as a sine of the height.
  MadePath m = path_of(squat);
  m.x_m = [](double t) {
    const double up = smooth(t, 4.0, 1.2);
    return 0.04 * up + 0.03 * std::sin(kPi * up);
  };
  const Rep rep = first_rep(m);
  CHECK_THAT(rep.net_sideways_m.value(), WithinAbs(0.04, 0.002));
  CHECK_THAT(rep.path_deviation_m.value(), WithinAbs(0.03, 0.002));
  CHECK(rep.path_deviation_m.sigma() < 0.001);
  CHECK_THAT(first_rep(path_of(squat)).path_deviation_m.value(), WithinAbs(0.0, 0.001));
}

TEST_CASE("the descent's peak and evenness are those of its curve", "[kinematics]") {
  // Minimum jerk: peak 1.875 times the mean. The descent is counted from 0.02 m/s to 0.02 m/s,
  // where 30 s²(1 - s)² = 0.05: s from 0.0427 to 0.9573, spread 0.557 of the mean (integrated by
  // hand).
  const Rep rep = first_rep(path_of(squat));
  CHECK_THAT(rep.eccentric_peak_velocity_mps.value(), WithinAbs(-0.75, 0.01));
  CHECK_THAT(rep.eccentric_variation.value(), WithinAbs(0.557, 0.03));
  // At one speed for most of the way the spread is small; dropped and caught it is large.
  const Rep even = first_rep(path_of([](double t) {
    const double s = std::clamp((t - 1.0) / 1.5, 0.0, 1.0);
    return squat(std::max(t, 2.6)) + 0.6 * (1.0 - s);
  }));
  CHECK(even.eccentric_variation.value() < 0.25);
  const Rep dropped = first_rep(path_of([](double t) {
    return squat(std::max(t, 2.6)) + 0.6 - 0.2 * smooth(t, 1.0, 1.2) - 0.4 * smooth(t, 2.2, 0.35);
  }));
  CHECK(dropped.eccentric_variation.value() > 0.9);
}

TEST_CASE("a bar that rocks in the pause is told from one that sits still", "[kinematics]") {
  const Rep still = first_rep(path_of(squat));
  REQUIRE(still.pause_rock_m.ok());
  CHECK_FALSE(rocked(still));
  CHECK(still.pause_rock_m.lo() <= 0.0);
  // Leans back by 3 cm and forward again before it rises.
  MadePath leaning = path_of(squat);
  leaning.x_m = [](double t) { return -0.03 * hump(t, 2.8, 0.9); };
  const Rep rocking = first_rep(leaning);
  CHECK(rocked(rocking));
  CHECK_THAT(rocking.pause_rock_m.value(), WithinAbs(0.03, 0.002));
  // Bounces up by 1.2 cm on the box, slowly enough not to be a rise.
  const Rep bouncing =
      first_rep(path_of([](double t) { return squat(t) + 0.012 * hump(t, 2.7, 1.0); }));
  CHECK(rocked(bouncing));
  CHECK_THAT(bouncing.pause_rock_m.value(), WithinAbs(0.012, 0.002));
}

TEST_CASE("noise alone rocks no bar", "[kinematics]") {
  int rocking = 0;
  for (std::uint32_t seed = 1; seed <= 100; ++seed) {
    MadePath m = path_of(squat);
    m.sigma_m = 0.001;
    m.seed = seed;
    const Rep rep = first_rep(m);
    rocking += rep.pause_rock_m.ok() && rep.pause_rock_m.lo() > 0.0 ? 1 : 0;
  }
  CHECK(rocking <= 12);  // 1 in 20 is meant: 99 % of such counts are 11 or less
}

TEST_CASE("the lockout is timed until the bar goes down, and its sway measured", "[kinematics]") {
  const Rep rep = first_rep(path_of(squat));
  // From 5.2 s to 7 s, and 0.046 and 0.064 s in which the two movements are slower than 0.02 m/s.
  CHECK_THAT(rep.lockout_s.value(), WithinAbs(1.909, 0.03));
  CHECK_THAT(rep.lockout_sway_m.value(), WithinAbs(0.0, 0.003));
  const Rep swaying = first_rep(path_of([](double t) {
    return squat(t) + (t > 5.2 && t < 7.0 ? 0.006 * std::sin(2.0 * kPi * (t - 5.2) / 0.6) : 0.0);
  }));
  CHECK_THAT(swaying.lockout_sway_m.value(), WithinAbs(0.012, 0.003));
}

TEST_CASE("the propulsive part of a slow rise is all of it", "[kinematics]") {
  const Rep rep = first_rep(path_of(squat));
  CHECK(rep.propulsive_s.value() == Approx(rep.concentric_s.value()));
}

TEST_CASE("what a lift has not is not measured", "[kinematics]") {
  // A pull from the floor, held to the end of the clip.
  MadePath m;
  m.height_m = [](double t) { return 0.5 * smooth(t, 1.0, 1.2); };
  m.length_s = 3.0;
  const Rep rep = first_rep(m);
  CHECK(rep.eccentric_variation.reason() == Reason::kNotApplicable);
  CHECK(rep.pause_rock_m.reason() == Reason::kNotApplicable);
  CHECK(rep.lockout_s.reason() == Reason::kOutsideClip);
  CHECK(rep.path_deviation_m.ok());
}
