// The reading of a perfect sensor against mechanics: turned into the gym's frame and integrated
// twice it must give back the way the sensor went, however it sits and turns. The equations are
// those of strapdown navigation (D. H. Titterton, J. L. Weston, Strapdown Inertial Navigation
// Technology, 2nd ed. 2004, ch. 3 and 11; from memory), integrated here with Eigen's quaternions.
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include "samples/render/script.h"
#include "samples/simulate/rig.h"
#include "tests/simulate/made_log.h"

using Catch::Matchers::WithinAbs;
using Eigen::Quaterniond;
using Eigen::Vector3d;

namespace {

constexpr double kStep_s = 1e-4;

struct Navigated {
  double worst_place_m = 0.0;
  double worst_speed_mps = 0.0;
  double worst_turn_rad = 0.0;
};

// Midpoint rule throughout: each step's own error falls with the third power of the step.
Navigated navigate(const simulate::Rig& rig, double from_s, double to_s, double gravity_mps2) {
  const simulate::RigState start = rig.at(from_s);
  Quaterniond attitude(start.gym_from_sensor);
  Vector3d place = start.place_m, velocity = start.velocity_mps;
  Navigated out;
  const auto steps = static_cast<int>((to_s - from_s) / kStep_s);
  for (int k = 0; k < steps; ++k) {
    const simulate::RigState mid = rig.at(from_s + (k + 0.5) * kStep_s);
    const Vector3d turn = mid.rate_radps * kStep_s;
    const auto turned = [&](double share) {
      const double angle = share * turn.norm();
      return angle == 0.0 ? attitude
                          : Quaterniond(attitude * Eigen::AngleAxisd(angle, turn.normalized()));
    };
    const Vector3d accel = turned(0.5) * mid.specific_force_mps2 - Vector3d(0.0, gravity_mps2, 0.0);
    place += velocity * kStep_s + 0.5 * accel * kStep_s * kStep_s;
    velocity += accel * kStep_s;
    attitude = turned(1.0).normalized();
    const simulate::RigState truth = rig.at(from_s + (k + 1) * kStep_s);
    out.worst_place_m = std::max(out.worst_place_m, (place - truth.place_m).norm());
    out.worst_speed_mps = std::max(out.worst_speed_mps, (velocity - truth.velocity_mps).norm());
    out.worst_turn_rad =
        std::max(out.worst_turn_rad, attitude.angularDistance(Quaterniond(truth.gym_from_sensor)));
  }
  return out;
}

}  // namespace

TEST_CASE("integrated twice, a perfect sensor's readings give back the way it went", "[simulate]") {
  const std::string place = GENERATE("collar", "sleeve", "middle");
  const double spin = GENERATE(0.0, 3.0);
  const std::string lift = GENERATE("squat", "deadlift");
  CAPTURE(place, spin, lift);
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.mount.place = place;
  spec.mount.spin_turns = spin;
  spec.mount.off_axis_m = 0.08;
  const render::Scene scene = made::lifting(lift);
  const render::BarMotion bar = render::script_motion(scene.motion, scene.seed);
  const simulate::Rig rig(bar, lift, spec, 11);
  const Navigated off = navigate(rig, -1.0, bar.end_s + 1.0, 9.80665);
  CHECK(off.worst_turn_rad < 1e-5);
  CHECK(off.worst_speed_mps < 3e-5);
  CHECK(off.worst_place_m < 3e-4);  // of some 30 s times that speed
}

TEST_CASE("knocks, tremor, whip, plate changes and hands are motion too", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.shake = {.contacts = 1.0, .rattle_mps2 = 0.0, .whip_mm = 2.0, .tremor_mm = 0.2};
  spec.plates_changed_s = {-12.0};
  spec.handled = {{.at_s = -24.0, .length_s = 6.0}};
  const render::Scene scene = made::lifting("box_squat");
  const render::BarMotion bar = render::script_motion(scene.motion, scene.seed);
  const simulate::Rig rig(bar, "box_squat", spec, 3);
  // A 200 Hz ring is 50 steps of the integration a period: the midpoint rule is good to half a
  // percent.
  const Navigated off = navigate(rig, -25.0, bar.end_s + 1.0, 9.80665);
  CHECK(off.worst_turn_rad < 1e-4);
  CHECK(off.worst_speed_mps < 2e-3);
  CHECK(off.worst_place_m < 1e-2);
}

TEST_CASE("a level sensor's upright axis reads the bar's acceleration and gravity", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(1000.0);
  spec.mount = {.place = "collar",
                .angles_deg = std::array{0.0, 0.0, 0.0},
                .bar_pitch_deg = 0.0,
                .bar_pitch_noise_deg = 0.0,
                .bar_tilt_deg = 0.0};
  const render::Scene scene = made::lifting("bench");
  const simulate::SimulatedLog log = simulate::simulate_log(scene, spec);
  // Trapezoids from rest at the first row: velocity and height at each rep's ends and peak.
  std::vector<double> velocity{0.0}, height{0.0};
  for (std::size_t k = 1; k < log.rows.size(); ++k) {
    const double dt = log.rows[k].stamp_s - log.rows[k - 1].stamp_s;
    const double a = log.rows[k].accel_mps2.y() - 9.80665;
    const double b = log.rows[k - 1].accel_mps2.y() - 9.80665;
    velocity.push_back(velocity.back() + 0.5 * dt * (a + b));
    height.push_back(height.back() + 0.5 * dt * (velocity.back() + velocity.end()[-2]));
  }
  REQUIRE(log.truth.reps.size() == 2);
  for (const render::RepTruth& rep : log.truth.reps) {
    const auto row = [](double t) { return static_cast<std::size_t>(std::lround(1000.0 * t)); };
    const std::size_t from = row(rep.start_s), to = row(rep.end_s);
    // Half a row's time at 0.02 m/s either side, and the trapezoids' own error.
    CHECK_THAT(height[to] - height[from], WithinAbs(rep.rom_m, 1e-4));
    double peak = 0.0;
    for (std::size_t k = from; k < to; ++k) peak = std::max(peak, velocity[k]);
    CHECK_THAT(peak, WithinAbs(rep.peak_velocity_mps, 1e-4));
  }
}

TEST_CASE("a spinning sleeve's off-axis sensor feels the pull to the middle", "[simulate]") {
  // ω²r along the arm for a point on a circle. Looked at where the bar rests and only the sleeve
  // still turns, just after the rise.
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.mount.place = "sleeve";
  spec.mount.spin_turns = 4.0;
  spec.mount.off_axis_m = 0.10;
  spec.mount.bar_tilt_deg = 0.0;
  render::Scene scene = made::lifting("bench");
  const render::BarMotion bar = render::script_motion(scene.motion, scene.seed);
  const simulate::Rig rig(bar, "bench", spec, 11);
  const double t = bar.reps.back().rise_end_s + 0.05, h = 1e-4;
  const simulate::RigState now = rig.at(t);
  const double spin = now.rate_radps.norm();
  REQUIRE(spin > 1.0);
  const double angular =
      (rig.at(t + h).rate_radps.norm() - rig.at(t - h).rate_radps.norm()) / (2 * h);
  const Vector3d felt = now.gym_from_sensor * now.specific_force_mps2 - Vector3d(0.0, 9.80665, 0.0);
  CHECK_THAT(felt.norm(), WithinAbs(0.10 * std::hypot(spin * spin, angular), 1e-3));
}

TEST_CASE("an upside-down sensor's z axis reads less than minus 0.9 g at rest", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.mount.upside_down = true;
  const simulate::SimulatedLog log = simulate::simulate_log(made::resting(2.0), spec);
  CHECK(log.rows.front().accel_mps2.z() < -0.9 * 9.80665);
}
