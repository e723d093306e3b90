// Forces on a bar against closed forms, energy and momentum.
//
// A minimum-jerk rise (T. Flash, N. Hogan, J Neurosci 1985; 5:1688-1703) of 0.6 m in 1 s with
// 100 kg: mean force m g, peak force 1327.07516 N, mean power m g R / T = 588.399 W, peak power
// 1198.11086 W; in 0.5 s its acceleration first reaches -g at 0.324797102 s, 0.458520128 m up
// (computed from the polynomial). Chain drawn from a pile takes F = (m + lz)(g + a) + l v²
// (momentum balance, textbook). The rule of the trade, 700 at the bottom plus 300 of chain all
// lifted making 1000 at the top, is common practice and has no source.
#include "libkinetics/kinematics/force.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double kG = 9.80665;
const BarLoad kHundred{.bar_kg = 20.0, .discs_kg = 80.0};

struct Seen {
  Motion motion;
  Rep rep;
  TrueRep truth;
  Lift lift;
};

Seen seen(double rise_m,
          double takes_s,
          Shape shape = Shape::kMinimumJerk,
          double sigma_m = 5e-6,
          double rate_hz = 240.0,
          std::uint32_t seed = 1) {
  Lift lift(rise_m);
  lift.rest(1.0).move(-rise_m, 1.5).rest(0.8).rep(rise_m, takes_s, shape).rest(1.0);
  Seen out{estimate_motion(filmed(lift, {.rate_hz = rate_hz, .sigma_m = sigma_m, .seed = seed})),
           {},
           lift.truth().front(),
           lift};
  const SetTable table = find_reps(out.motion);
  REQUIRE(table.reps.size() == 1);
  out.rep = table.reps.front();
  return out;
}

// What the lifter's push adds up to along the smoothed motion, instant by instant.
struct Sums {
  double work_j = 0.0;
  double over_weight_ns = 0.0;
  double impulse_ns = 0.0;
  double rattle_j = 0.0;
};

Sums summed(const Seen& s, const BarLoad& load, double floor_m, double links_kg_per_m) {
  constexpr int kSteps = 2000;
  const auto along = force_along(s.motion, s.rep, load, BarHeight{floor_m, 0.0}, kSteps);
  Sums out;
  const double dt = (s.rep.end_s - s.rep.start_s) / kSteps;
  for (std::size_t i = 0; i < along.size(); ++i) {
    const double step = i == 0 || i + 1 == along.size() ? 0.5 * dt : dt;
    out.work_j += step * along[i].power_w;
    out.impulse_ns += step * along[i].force_n;
    out.over_weight_ns += step * (along[i].force_n - kG * along[i].load_kg);
    out.rattle_j += step * 0.5 * links_kg_per_m * std::pow(along[i].velocity_mps, 3);
  }
  return out;
}

// Chain hanging from `from_m` to `to_m` above the floor: what lifting it there takes, by hand.
double lifted_j(double kg_per_m, double from_m, double to_m) {
  return kg_per_m * kG * 0.5 * (to_m * to_m - from_m * from_m);
}

}  // namespace

TEST_CASE("a straight weight's force and power are those of the closed form", "[kinematics]") {
  const Seen s = seen(0.6, 1.0);
  const RepForces f = rep_forces(s.motion, s.rep, kHundred);
  CHECK_THAT(f.mean_force_n.value(), WithinRel(980.665, 1e-4));
  CHECK_THAT(f.peak_force_n.value(), WithinRel(1327.07516, 0.004));
  // Half of the 95 % interval that is left at 5 µm and 240 frames/s is 0.9 %.
  CHECK_THAT(f.peak_power_w.value(), WithinRel(1198.11086, 0.005));
  CHECK(f.peak_power_w.lo() < 1198.11086);
  CHECK(f.peak_power_w.hi() > 1198.11086);
  CHECK_THAT(f.work_j.value(), WithinRel(980.665 * s.truth.rom_m, 1e-3));
  // From 0.02 m/s to 0.02 m/s the bar takes a little less than 1 s.
  CHECK_THAT(f.mean_power_w.value(), WithinRel(980.665 * s.truth.mean_mps, 3e-3));
  CHECK_THAT(f.impulse_ns.value(), WithinRel(980.665 * (s.truth.end_s - s.truth.start_s), 3e-3));
  CHECK(f.mean_force_n.sigma() < 0.1);
  CHECK_THAT(f.mean_load_kg.value(), WithinRel(100.0, 1e-12));
  CHECK_THAT(f.bottom_load_kg.value(), WithinRel(100.0, 1e-12));
}

TEST_CASE("a rise that never brakes below gravity is propulsive to its end", "[kinematics]") {
  const Seen s = seen(0.6, 1.0);
  const RepForces f = rep_forces(s.motion, s.rep, kHundred);
  CHECK(f.propulsive_force_n.value() == f.mean_force_n.value());
  CHECK(f.propulsive_power_w.value() == f.mean_power_w.value());
  CHECK(s.rep.propulsive_s.value() == Approx(s.rep.concentric_s.value()));
}

TEST_CASE("the propulsive phase ends where the acceleration first falls below -g", "[kinematics]") {
  const Seen s = seen(0.6, 0.5);
  const double began_s = s.truth.start_s;
  const double ends_s = s.lift.length_s() - 1.0 - 0.5 + 0.324797102;
  const double lasts = ends_s - began_s;
  CHECK_THAT(s.rep.propulsive_s.value(), WithinAbs(lasts, 0.006));
  const double v = s.lift.velocity_mps(ends_s);
  const RepForces f = rep_forces(s.motion, s.rep, kHundred);
  // Momentum and energy from rest (but for the threshold's 0.02 m/s) to that instant.
  const double impulse = 100.0 * (kG * lasts + v - 0.02);
  const double work =
      100.0 * (kG * (0.458520128 - s.lift.height_m(began_s)) + 0.5 * (v * v - 0.02 * 0.02));
  CHECK_THAT(f.propulsive_impulse_ns.value(), WithinRel(impulse, 0.01));
  CHECK_THAT(f.propulsive_force_n.value(), WithinRel(impulse / lasts, 0.02));
  CHECK_THAT(f.propulsive_power_w.value(), WithinRel(work / lasts, 0.02));
  CHECK(f.propulsive_force_n.value() > 1.3 * f.mean_force_n.value());
}

TEST_CASE("chain all lifted makes 700 at the bottom 1000 at the top", "[kinematics]") {
  constexpr double kLb = 0.45359237;
  const double rise = 0.6;
  const double floor_m = 0.5;  // the bar's height above the floor at the bottom
  const double kg_per_m = 300.0 * kLb / rise;
  const Seen s = seen(rise, 1.2);
  // The leader lets the first link leave the floor where the rise begins; two strands.
  BarLoad load{.bar_kg = 20.0, .discs_kg = 700.0 * kLb - 20.0};
  load.chains.push_back({.name = "heavy",
                         .mass_kg_per_m = 0.5 * kg_per_m,
                         .free_length_m = 3.0,
                         .leader_length_m = floor_m + s.rep.bottom_height_m});
  const RepForces f = rep_forces(s.motion, s.rep, load, BarHeight{floor_m, 0.0});
  CHECK_THAT(f.bottom_load_kg.value(), WithinRel(700.0 * kLb, 1e-3));
  CHECK_THAT(f.top_load_kg.value(), WithinRel(1000.0 * kLb, 2e-3));
  CHECK_THAT(f.mean_load_kg.value(), WithinRel(850.0 * kLb, 2e-3));
  // Half of what the links take is lost to rattle, beside the 2268.59302 J of the weight:
  const Sums sums = summed(s, load, floor_m, kg_per_m);
  CHECK_THAT(f.work_j.value(), WithinRel(2268.59302 + sums.rattle_j, 0.003));
  CHECK(sums.rattle_j > 10.0);
  CHECK_THAT(sums.work_j, WithinRel(f.work_j.value(), 0.01));
  // Momentum: from rest to rest the push over the weight comes to nothing.
  CHECK_THAT(f.impulse_ns.value(), WithinRel(sums.impulse_ns, 0.01));
}

TEST_CASE("work is the change of potential energy, and impulse over weight nothing",
          "[kinematics]") {
  // Two strands of 13 mm chain that pile up all the way, tracker-like noise, 60 frames a second.
  const double floor_m = 0.4;
  BarLoad load = kHundred;
  load.chains.push_back({.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 3.0});
  std::uint32_t seed = 10;
  for (const Shape shape : {Shape::kMinimumJerk, Shape::kTwoHumps, Shape::kSlowLockout}) {
    for (const double takes : {0.8, 1.2, 2.0}) {
      const Seen s = seen(0.55, takes, shape, 0.0005, 60.0, ++seed);
      CAPTURE(static_cast<int>(shape), takes);
      const double bottom = floor_m + s.lift.height_m(s.truth.start_s);
      const double top = floor_m + s.lift.height_m(s.truth.end_s);
      const double change = 100.0 * kG * (top - bottom) + lifted_j(7.6, bottom, top);
      const RepForces f = rep_forces(s.motion, s.rep, load, BarHeight{floor_m, 0.0});
      CHECK_THAT(f.work_j.value(), WithinRel(change, 0.01));
      const Sums sums = summed(s, load, floor_m, 7.6);
      CHECK_THAT(sums.work_j, WithinRel(change, 0.01));
      CHECK(std::abs(sums.over_weight_ns) < 0.01 * sums.impulse_ns);
    }
  }
}

TEST_CASE("a rubber band's work is the energy stored in it", "[kinematics]") {
  // Two straight springs of 400 N/m from the floor, slack at 0.5 m: k (x1² - x0²) / 2 each.
  const Seen s = seen(0.6, 1.0);
  BarLoad load = kHundred;
  load.bands.push_back(
      {.name = "spring", .tension = {.polynomial_n = {0.0, 400.0}, .rest_length_m = 0.5}});
  const double floor_m = 0.6;
  const double x0 = floor_m + s.lift.height_m(s.truth.start_s) - 0.5;
  const double x1 = floor_m + s.lift.height_m(s.truth.end_s) - 0.5;
  const RepForces f = rep_forces(s.motion, s.rep, load, BarHeight{floor_m, 0.0});
  CHECK_THAT(f.work_j.value(),
             WithinRel(980.665 * s.truth.rom_m + 400.0 * (x1 * x1 - x0 * x0), 2e-3));
  // A spring pulls but has no mass to accelerate.
  const LoadAt at = load_at(load, floor_m + 0.3);
  CHECK_THAT(push_n(at, 0.0, 2.0) - push_n(at, 0.0, 0.0), WithinRel(200.0, 1e-12));
}

TEST_CASE("only what moves accelerates, and links leaving the floor take their momentum",
          "[kinematics]") {
  // 100 kg, two strands of 3.8 kg/m, 0.75 m up, 1 m/s, 0.5 m/s²: 1097.012905 N (hand calculation).
  BarLoad load = kHundred;
  load.chains.push_back({.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 3.0});
  const LoadAt at = load_at(load, 0.75);
  CHECK_THAT(push_n(at, 1.0, 0.5), WithinRel(1097.012905, 1e-8));
  CHECK_THAT(push_n(at, -1.0, 0.5), WithinRel(1089.412905, 1e-8));
}

TEST_CASE("with chains and no height above the floor no force is given", "[kinematics]") {
  const Seen s = seen(0.6, 1.0);
  BarLoad load = kHundred;
  load.chains.push_back({.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 3.0});
  const RepForces f = rep_forces(s.motion, s.rep, load);
  for (const Measured& m : {f.mean_force_n, f.peak_power_w, f.work_j, f.top_load_kg}) {
    REQUIRE_FALSE(m.ok());
    CHECK(m.reason() == Reason::kHeightUnknown);
  }
  const RepForces without = rep_forces(s.motion, s.rep, kHundred);
  CHECK(without.mean_force_n.ok());
}

TEST_CASE("a height that is not sure makes a chain's numbers less sure", "[kinematics]") {
  const Seen s = seen(0.6, 1.0);
  BarLoad load = kHundred;
  load.chains.push_back({.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 3.0});
  const RepForces f = rep_forces(s.motion, s.rep, load, BarHeight{0.4, 0.05});
  // 7.6 kg/m over 5 cm.
  CHECK_THAT(f.mean_load_kg.sigma(), WithinRel(0.38, 0.01));
  CHECK_THAT(f.mean_force_n.sigma(), WithinRel(0.38 * kG, 0.02));
}

TEST_CASE("a rep that was not measured has no forces either", "[kinematics]") {
  Seen s = seen(0.6, 1.0);
  s.rep.mean_velocity_mps = Reason::kDiscHidden;
  CHECK(rep_forces(s.motion, s.rep, kHundred).work_j.reason() == Reason::kDiscHidden);
  Seen half = seen(0.6, 1.0);
  half.rep.peak_velocity_mps = Reason::kDiscHidden;
  const RepForces f = rep_forces(half.motion, half.rep, kHundred);
  CHECK(f.work_j.ok());
  CHECK(f.peak_force_n.reason() == Reason::kDiscHidden);
}

TEST_CASE("noise of the sightings becomes force as the theory of the smoother says",
          "[kinematics]") {
  // White jerk of density q seen through white noise of density r = sigma² dt: with w = (q/r)^(1/6)
  // the steady smoother's variance of the acceleration is r w^5 / 3, and the noise it lets through
  // r w^5 / 18 (non-causal Wiener filter, integrals of u^4 H and u^4 H², H = 1/(1 + u^6)).
  const double rate = 240.0;
  const double sigma = 0.0001;  // the noise must not look like movement
  const double q = 1.0;
  const double r = sigma * sigma / rate;
  const double w = std::pow(q / r, 1.0 / 6.0);
  Lift lift(1.0);
  lift.rest(60.0);
  const Motion motion = estimate_motion(
      filmed(lift, {.rate_hz = rate, .sigma_m = sigma, .seed = 5}), {.jerk_psd_m2ps5 = q});
  Rep rep;
  rep.start_s = 5.0;
  rep.end_s = 55.0;
  const auto along = force_along(motion, rep, kHundred, std::nullopt, 5000);
  double stated = 0.0;
  double square = 0.0;
  for (const ForceSample& f : along) {
    stated += f.force_sigma_n / static_cast<double>(along.size());
    square += std::pow(f.force_n - 980.665, 2) / static_cast<double>(along.size());
  }
  CHECK_THAT(stated, WithinRel(100.0 * std::sqrt(r * std::pow(w, 5) / 3.0), 0.03));
  // Some 600 independent values: 3 % of the root mean square is one sigma of it.
  CHECK_THAT(std::sqrt(square), WithinRel(100.0 * std::sqrt(r * std::pow(w, 5) / 18.0), 0.10));
}
