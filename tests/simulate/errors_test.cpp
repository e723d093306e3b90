// The simulated sensor's errors against what their names mean in IEEE Std 952-1997 (and 1293 for
// accelerometers): white noise of density N gives an Allan deviation N/√τ, a random walk of density
// K gives K√(τ/3); the deviation from n clusters is itself uncertain by 1/√(2(n − 1)) (both from
// memory of annex C). Tolerances are four of those.
#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

#include "tests/simulate/made_log.h"

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double kG = 9.80665;

struct Allan {
  double deviation = 0.0;
  double spread = 0.0;  // relative, 1 sigma
};

Allan allan(const std::vector<double>& rate, std::size_t per_cluster) {
  std::vector<double> means;
  for (std::size_t k = 0; k + per_cluster <= rate.size(); k += per_cluster) {
    double sum = 0.0;
    for (std::size_t i = 0; i < per_cluster; ++i) sum += rate[k + i];
    means.push_back(sum / double(per_cluster));
  }
  double sum = 0.0;
  for (std::size_t k = 1; k < means.size(); ++k) sum += std::pow(means[k] - means[k - 1], 2);
  const double n = double(means.size());
  return {std::sqrt(0.5 * sum / (n - 1.0)), 1.0 / std::sqrt(2.0 * (n - 1.0))};
}

template <typename Read>
std::vector<double> series(const simulate::SimulatedLog& log, Read read) {
  std::vector<double> out;
  for (const simulate::Row& row : log.rows) out.push_back(read(row));
  return out;
}

}  // namespace

TEST_CASE("white noise has an Allan deviation that falls with the root of time", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(GENERATE(50.0, 200.0));
  spec.errors.accel_noise_ug_rthz = 150.0;
  spec.errors.gyro_noise_dps_rthz = 0.02;
  const simulate::SimulatedLog log = simulate::simulate_log(made::resting(1000.0), spec);
  const auto accel = series(log, [](const auto& r) { return r.accel_mps2.x(); });
  const auto gyro = series(log, [](const auto& r) { return r.rate_radps.z(); });
  for (const double tau : {0.1, 1.0, 10.0}) {
    const auto cluster = static_cast<std::size_t>(std::lround(tau * spec.rate_hz));
    const Allan a = allan(accel, cluster), g = allan(gyro, cluster);
    CAPTURE(spec.rate_hz, tau);
    CHECK_THAT(a.deviation, WithinRel(150e-6 * kG / std::sqrt(tau), 4.0 * a.spread));
    CHECK_THAT(g.deviation,
               WithinRel(0.02 * std::numbers::pi / 180.0 / std::sqrt(tau), 4.0 * g.spread));
  }
}

TEST_CASE("a walking bias has an Allan deviation that grows with the root of time", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(50.0);
  spec.errors.accel_walk_ug_rts = 100.0;
  spec.errors.gyro_walk_dps_rts = 0.01;
  const simulate::SimulatedLog log = simulate::simulate_log(made::resting(2000.0), spec);
  const auto accel = series(log, [](const auto& r) { return r.accel_mps2.y(); });
  const auto gyro = series(log, [](const auto& r) { return r.rate_radps.x(); });
  for (const double tau : {1.0, 4.0, 16.0}) {
    const auto cluster = static_cast<std::size_t>(std::lround(tau * spec.rate_hz));
    const Allan a = allan(accel, cluster), g = allan(gyro, cluster);
    CAPTURE(tau);
    // Means of a walk's clusters hang together: neighbours correlate by 1/4, so the deviation is
    // less sure than the standard's figure for white noise.
    CHECK_THAT(a.deviation, WithinRel(100e-6 * kG * std::sqrt(tau / 3.0), 5.0 * a.spread));
    CHECK_THAT(g.deviation,
               WithinRel(0.01 * std::numbers::pi / 180.0 * std::sqrt(tau / 3.0), 5.0 * g.spread));
  }
}

TEST_CASE("at rest the sensor reads the local gravity", "[simulate]") {
  // Helmert's formula at sea level, worked out by hand from the printed coefficients (Kaye & Laby /
  // Smithsonian tables, from memory); 1e-7 is the digits shown. Without a latitude: the standard
  // value, 3rd CGPM 1901.
  struct Place {
    std::optional<double> latitude_deg;
    double gravity_mps2;
  };
  const Place place = GENERATE(Place{std::nullopt, 9.80665},
                               Place{0.0, 9.7803010},
                               Place{30.0, 9.7932133},
                               Place{45.0, 9.8061600},
                               Place{52.0, 9.8124366},
                               Place{90.0, 9.8321570});
  simulate::SensorSpec spec = made::perfect(25.0);
  spec.latitude_deg = place.latitude_deg;
  const simulate::SimulatedLog log = simulate::simulate_log(made::resting(1.0), spec);
  CHECK_THAT(log.rows.front().accel_mps2.norm(), WithinAbs(place.gravity_mps2, 1e-7));
  CHECK(log.rows.front().rate_radps.norm() == 0.0);
}

TEST_CASE("bias and scale errors have the spread that was asked for", "[simulate]") {
  double bias = 0.0, scale = 0.0;
  constexpr int kSensors = 300;
  for (int k = 1; k <= kSensors; ++k) {
    simulate::SensorSpec spec = made::perfect(20.0);
    spec.seed = static_cast<std::uint64_t>(k);
    spec.mount.angles_deg = std::array{0.0, 0.0, 0.0};
    spec.errors.accel_bias_mg = 30.0;
    spec.errors.accel_scale_pct = 2.0;
    const simulate::SimulatedLog log = simulate::simulate_log(made::resting(0.1), spec);
    bias += std::pow(log.rows.front().accel_mps2.x() / (30e-3 * kG), 2);
    scale += std::pow((log.rows.front().accel_mps2.y() - kG) / (std::hypot(0.03, 0.02) * kG), 2);
  }
  // A mean square of n normal draws scatters by √(2/n).
  CHECK_THAT(bias / kSensors, WithinAbs(1.0, 4.0 * std::sqrt(2.0 / kSensors)));
  CHECK_THAT(scale / kSensors, WithinAbs(1.0, 4.0 * std::sqrt(2.0 / kSensors)));
}

TEST_CASE("readings stop at the end of the range and move in steps", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(200.0);
  spec.shake.contacts = 3.0;
  const render::Scene scene = made::lifting("deadlift");
  const auto largest = [&] {
    double most = 0.0;
    for (const simulate::Row& row : simulate::simulate_log(scene, spec).rows)
      most = std::max(most, row.accel_mps2.cwiseAbs().maxCoeff());
    return most;
  };
  REQUIRE(largest() > 4.0 * kG);
  spec.errors.accel_range_g = 4.0;
  spec.errors.bits = 12;
  CHECK(largest() <= 4.0 * kG);
  const double step = 4.0 * kG / 2048.0;
  for (const simulate::Row& row : simulate::simulate_log(scene, spec).rows) {
    const double steps = row.accel_mps2.x() / step;
    CHECK_THAT(steps, WithinAbs(std::round(steps), 1e-9));
  }
}

TEST_CASE("the filter leaves what is constant and takes most of what is fast", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.errors.filter_hz = 20.0;
  const simulate::SimulatedLog still = simulate::simulate_log(made::resting(1.0), spec);
  CHECK_THAT(still.rows.front().accel_mps2.norm(), WithinAbs(kG, 1e-9));
  // Knocks ring at 30 Hz and above.
  spec.shake.contacts = 2.0;
  const render::Scene scene = made::lifting("deadlift");
  const auto power = [&](double filter_hz) {
    spec.errors.filter_hz = filter_hz;
    double sum = 0.0;
    for (const simulate::Row& row : simulate::simulate_log(scene, spec).rows)
      sum += std::pow(row.accel_mps2.norm() - kG, 2);
    return sum;
  };
  CHECK(power(20.0) < 0.3 * power(0.0));
}
