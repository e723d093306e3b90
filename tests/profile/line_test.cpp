// Lines and what follows from them, against R's predict.lm (Debian's R 4.2.2, stored values) and
// worked examples computed by hand from the formulas (two points, five points, Fieller).
#include "libkinetics/profile/line.h"

#include <cmath>
#include <limits>

#include <catch2/catch.hpp>

#include "libkinetics/profile/profile.h"
#include "tests/oracle/profile_values.h"
#include "tests/profile/lifted_sets.h"

namespace kinetics {
namespace {

using kinetics_test::profile_values;
using kinetics_test::sets_at;

const std::vector<double> kFiveLoads{60, 80, 100, 120, 140};
const std::vector<double> kFiveVelocities{1.02, 0.87, 0.75, 0.60, 0.46};

VelocityLine line_through(const std::vector<double>& loads, const std::vector<double>& velocities) {
  const ClubProfiles club = fit_profiles(sets_at(loads, velocities));
  REQUIRE(club.profiles.size() == 1);
  REQUIRE(club.profiles[0].line);
  return *club.profiles[0].line;
}

TEST_CASE("confidence and prediction intervals are those of R's predict.lm", "[profile][oracle]") {
  const auto& r = profile_values().at("line");
  const VelocityLine line = line_through(r.at("x"), r.at("y"));
  CHECK(line.intercept_mps == Approx(double(r.at("coefficients")[0])).epsilon(1e-9));
  CHECK(line.slope_mps_per_kg == Approx(double(r.at("coefficients")[1])).epsilon(1e-9));
  CHECK(line.scatter_mps == Approx(double(r.at("residual_sd"))).epsilon(1e-6));
  CHECK(line.degrees == Approx(3.0).epsilon(1e-4));
  for (std::size_t i = 0; i < r.at("at").size(); ++i) {
    const VelocityAt at = velocity_at(line, r.at("at")[i]);
    CAPTURE(at.load_kg);
    CHECK(at.velocity_mps == Approx(double(r.at("confidence")[i][0])).epsilon(1e-9));
    CHECK(at.line_mps.lo == Approx(double(r.at("confidence")[i][1])).epsilon(1e-5));
    CHECK(at.line_mps.hi == Approx(double(r.at("confidence")[i][2])).epsilon(1e-5));
    CHECK(at.set_mps.lo == Approx(double(r.at("prediction")[i][1])).epsilon(1e-5));
    CHECK(at.set_mps.hi == Approx(double(r.at("prediction")[i][2])).epsilon(1e-5));
    CHECK(at.outside == (at.load_kg < 60 || at.load_kg > 140));
  }
}

TEST_CASE("the worked five points give line, force and power", "[profile]") {
  const VelocityLine line = line_through(kFiveLoads, kFiveVelocities);
  CHECK(line.slope_mps_per_kg == Approx(-0.00695).epsilon(1e-9));
  CHECK(line.intercept_mps == Approx(1.435).epsilon(1e-9));
  CHECK(std::sqrt(line.covariance(1, 1)) == Approx(0.000125830574).epsilon(1e-6));
  CHECK(std::sqrt(line.covariance(0, 0)) == Approx(0.0130766968).epsilon(1e-6));
  CHECK(line.scatter_mps == Approx(0.00795822426).epsilon(1e-6));
  const auto power = force_velocity(line);
  REQUIRE(power);
  CHECK(power->f0_n.value == Approx(2024.82629).epsilon(1e-8));
  CHECK(power->pmax_w.value == Approx(726.406433).epsilon(1e-8));
  CHECK(power->best_load_kg.value == Approx(206.474820 / 2).epsilon(1e-8));
  CHECK(power->v0_mps.value == Approx(1.435).epsilon(1e-9));
  CHECK(power->pmax_w.value == Approx(power->f0_n.value * power->v0_mps.value / 4).epsilon(1e-12));
}

TEST_CASE("the worked five points give Fieller's interval of the best single", "[profile]") {
  const VelocityLine line = line_through(kFiveLoads, kFiveVelocities);
  const auto best = load_at(line, {.velocity_mps = 0.30});
  REQUIRE((best && best->interval));
  CHECK(best->value == Approx(163.309353).epsilon(1e-6));
  CHECK(best->interval->lo == Approx(159.512745).epsilon(1e-6));
  CHECK(best->interval->hi == Approx(167.527721).epsilon(1e-6));
  const auto one_set = load_at(line, {.velocity_mps = 0.30}, true);
  REQUIRE((one_set && one_set->interval));
  CHECK(one_set->interval->lo == Approx(158.099551).epsilon(1e-6));
  CHECK(one_set->interval->hi == Approx(168.940915).epsilon(1e-6));
  // An error of 0.01 m/s in the goal moves it by 1.43885 kg.
  CHECK(best->value - load_at(line, {.velocity_mps = 0.31})->value ==
        Approx(1.43885).epsilon(1e-5));
}

TEST_CASE("Fieller's ends are where the confidence band meets the goal", "[profile]") {
  const VelocityLine line = line_through(kFiveLoads, kFiveVelocities);
  for (const double goal : {0.1, 0.3, 0.7, 1.2}) {
    CAPTURE(goal);
    const auto best = load_at(line, {.velocity_mps = goal});
    REQUIRE((best && best->interval));
    CHECK(velocity_at(line, best->interval->lo).line_mps.lo == Approx(goal).margin(1e-9));
    CHECK(velocity_at(line, best->interval->hi).line_mps.hi == Approx(goal).margin(1e-9));
  }
}

TEST_CASE("the worked two points give the line through both", "[profile]") {
  const VelocityLine line = line_through({100, 160}, {0.90, 0.48});
  CHECK(line.slope_mps_per_kg == Approx(-0.007).epsilon(1e-8));
  CHECK(line.intercept_mps == Approx(1.60).epsilon(1e-8));
  CHECK(load_at(line, {})->value == Approx(228.571429).epsilon(1e-8));
  CHECK(load_at(line, {.velocity_mps = 0.30})->value == Approx(185.714286).epsilon(1e-8));
  const auto power = force_velocity(line);
  REQUIRE(power);
  CHECK(power->best_load_kg.value == Approx(114.285714).epsilon(1e-8));
  CHECK(power->best_mps == Approx(0.80).epsilon(1e-8));
  CHECK(power->f0_n.value == Approx(2241.52).epsilon(1e-8));
  CHECK(power->pmax_w.value == Approx(896.608).epsilon(1e-8));
}

TEST_CASE("two points take the assumed scatter for their interval", "[profile]") {
  const ClubProfiles club = fit_profiles(sets_at({100, 160}, {0.90, 0.48}));
  REQUIRE(club.profiles[0].line);
  CHECK(club.profiles[0].assumed_scatter);
  // Half-way between both the line is the mean of two sets; 1.96 is the normal quantile.
  const VelocityAt at = velocity_at(*club.profiles[0].line, 130);
  CHECK(at.line_mps.hi - at.velocity_mps == Approx(1.959964 * 0.03 / std::sqrt(2.0)).epsilon(1e-6));
}

TEST_CASE("the highest power of the line is at half the force and half the velocity", "[profile]") {
  const VelocityLine line = line_through(kFiveLoads, kFiveVelocities);
  const auto power = force_velocity(line);
  REQUIRE(power);
  double best_w = 0.0;
  double best_kg = 0.0;
  for (double load_kg = 0.0; load_kg < 250.0; load_kg += 0.01) {
    const double watts = 9.80665 * load_kg * velocity_at(line, load_kg).velocity_mps;
    if (watts <= best_w) continue;
    best_w = watts;
    best_kg = load_kg;
  }
  CHECK(best_kg == Approx(power->best_load_kg.value).margin(0.01));
  CHECK(best_w == Approx(power->pmax_w.value).epsilon(1e-6));
}

TEST_CASE("a line that cannot be told from a level one has no interval", "[profile]") {
  VelocityLine line{.intercept_mps = 1.0, .slope_mps_per_kg = -0.001};
  line.covariance(0, 0) = 0.01;
  line.covariance(1, 1) = 1e-6;
  line.degrees = std::numeric_limits<double>::infinity();
  const auto best = load_at(line, {.velocity_mps = 0.3});
  REQUIRE(best);
  CHECK(best->value == Approx(700.0));
  CHECK(!best->interval);
  line.slope_mps_per_kg = 0.001;
  CHECK(!load_at(line, {.velocity_mps = 0.3}));
  CHECK(!force_velocity(line));
}

}  // namespace
}  // namespace kinetics
