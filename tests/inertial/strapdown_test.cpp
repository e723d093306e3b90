// The mechanics under the estimate against theory and against other libraries: turns against Eigen
// and SciPy (tests/oracle/rotation_values.py), error growth against D. H. Titterton, J. L. Weston,
// Strapdown Inertial Navigation Technology, 2nd ed. 2004 (from memory): a constant error b of the
// acceleration makes b t of velocity and b t^2 / 2 of place, a tilt leaks gravity by its sine into
// the level axes and by one less its cosine into the vertical one.
#include <cmath>
#include <fstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/inertial/bins.h"
#include "libkinetics/inertial/drift_smoother.h"
#include "libkinetics/inertial/gravity.h"
#include "libkinetics/inertial/vertical.h"

using namespace kinetics;
using Catch::Matchers::WithinAbs;

namespace {

nlohmann::json oracle() {
  std::ifstream file(KINETICS_SOURCE_DIR "/tests/oracle/rotation_values.json");
  return nlohmann::json::parse(file);
}

Eigen::Vector3d vector_of(const nlohmann::json& v) {
  return {v[0].get<double>(), v[1].get<double>(), v[2].get<double>()};
}

double angle_to(const Eigen::Quaterniond& a, const nlohmann::json& xyzw) {
  const Eigen::Quaterniond b(xyzw[3], xyzw[0], xyzw[1], xyzw[2]);
  return rotation_of(a.conjugate() * b).norm();
}

// A log whose sensor turns evenly about one axis and feels gravity alone.
SensorLog turning(const Eigen::Vector3d& rate_radps, double rate_hz, double length_s) {
  SensorLog log;
  log.has_gyroscope = true;
  log.rate_hz = rate_hz;
  for (int k = 0; k <= static_cast<int>(length_s * rate_hz); ++k) {
    const double t = k / rate_hz;
    const double angle = rate_radps.norm() * t;
    const Eigen::Quaterniond q(Eigen::AngleAxisd(angle, rate_radps.normalized()));
    SensorSample s;
    s.t_s = t;
    s.accel_mps2 = (q.conjugate() * Eigen::Vector3d(0.0, 0.0, 9.8)).cast<float>();
    s.rate_radps = rate_radps.cast<float>();
    log.samples.push_back(s);
  }
  return log;
}

}  // namespace

TEST_CASE("turns as vectors agree with SciPy and with Eigen", "[inertial]") {
  const nlohmann::json values = oracle();
  for (std::size_t i = 0; i < values["vectors"].size(); ++i) {
    const Eigen::Vector3d v = vector_of(values["vectors"][i]);
    CAPTURE(i, v.norm());
    CHECK(angle_to(turn_by(v), values["quaternions_xyzw"][i]) < 1e-14);
    const Eigen::Quaterniond eigen(Eigen::AngleAxisd(v.norm(), v.normalized()));
    CHECK(turn_by(v).angularDistance(eigen) < 1e-7);
    CHECK((rotation_of(turn_by(v)) - v).norm() <= 1e-14 + 1e-12 * v.norm());
  }
}

TEST_CASE("a chain of two hundred turns ends where SciPy's does", "[inertial]") {
  const nlohmann::json values = oracle();
  Eigen::Quaterniond q = Eigen::Quaterniond::Identity();
  for (int k = 0; k < values["chain_count"].get<int>(); ++k) {
    q = (q * turn_by(vector_of(values["chain_step"]))).normalized();
  }
  CHECK(angle_to(q, values["chain_xyzw"]) < 1e-12);
}

TEST_CASE("condensing keeps the turn and the force of a sensor that spins", "[inertial]") {
  const Eigen::Vector3d rate(4.0, -2.0, 1.0);
  const std::vector<Bin> bins = condense(turning(rate, 1000.0, 3.0), 100.0);
  CHECK(bins.size() == Approx(301).margin(2));
  Eigen::Quaterniond q(Eigen::AngleAxisd(rate.norm() * bins.front().t_s, rate.normalized()));
  for (std::size_t i = 1; i < bins.size(); ++i) {
    q = q * bins[i].turn;
    // Averaged while it turns by 2.6 degrees: without taking the turn out 3e-4 of it would be lost.
    CHECK_THAT((q * bins[i].accel_mps2).z(), WithinAbs(9.8, 2e-5));
    CHECK((q * bins[i].accel_mps2).head<2>().norm() < 2e-3);
  }
  const double turned = rate.norm() * (bins.back().t_s - bins.front().t_s);
  CHECK_THAT(std::fmod(turned, 2.0 * M_PI),
             WithinAbs(std::fmod(rotation_of(q).norm() + 2.0 * M_PI, 2.0 * M_PI), 0.2));
}

TEST_CASE("an unknown error of the acceleration grows as theory has it", "[inertial]") {
  const double wrong_mps2 = 0.05;
  const double length_s = 4.0;
  const double dt = 0.01;
  const auto steps = static_cast<std::size_t>(length_s / dt);
  // Known to be at rest at first; then only a reading that is wrong, trusted blindly.
  LogModel model;
  model.first_variance.setConstant(1e-12);
  for (std::size_t i = 0; i < steps; ++i) {
    model.steps.push_back({dt, 1e6, 0.0});
    model.wander.push_back(Eigen::Vector2d(0.0, 1e-12));
  }
  for (std::size_t i = 0; i <= steps; ++i) {
    StateReading<kLogStates> reading;
    reading.at = i;
    reading.row[at::kAccel] = 1.0;
    reading.value = i == 0 ? 0.0 : wrong_mps2;
    reading.variance = 1e-12;
    model.readings.push_back(reading);
  }
  const auto solved = smooth_states(model);
  CHECK_THAT(solved.states.back()[at::kVelocity], WithinAbs(wrong_mps2 * length_s, 5e-4));
  CHECK_THAT(solved.states.back()[at::kHeight],
             WithinAbs(0.5 * wrong_mps2 * length_s * length_s, 1e-3));

  // The same seen from the covariance: an error of 0.05 m/s² (1 sigma) that never changes.
  model.first_variance[at::kBias] = wrong_mps2 * wrong_mps2;
  model.first_variance[at::kAccel] = 9.0;
  for (StateStep& step : model.steps) step.jerk_psd_m2ps5 = 1.0;
  for (auto& reading : model.readings) reading.row[at::kBias] = 1.0;
  const auto unsure = smooth_states(model);
  CHECK_THAT(std::sqrt(unsure.links.back().covariance(0, 0)),
             WithinAbs(0.5 * wrong_mps2 * length_s * length_s, 0.01));
}

TEST_CASE("a tilt leaks gravity by one less its cosine into the vertical", "[inertial]") {
  for (const double tilt_rad : {0.01, 0.05, 0.2}) {
    CAPTURE(tilt_rad);
    std::vector<Bin> bins(20);
    Attitude attitude;
    const Eigen::Quaterniond wrong(Eigen::AngleAxisd(tilt_rad, Eigen::Vector3d::UnitX()));
    for (std::size_t i = 0; i < bins.size(); ++i) {
      bins[i].t_s = 0.01 * static_cast<double>(i);
      bins[i].accel_mps2 = Eigen::Vector3d(0.0, 0.0, kStandardGravity_mps2);
      bins[i].size_mps2 = kStandardGravity_mps2;
      attitude.world_from_sensor.push_back(wrong);
    }
    const auto readings = upward_readings(bins, {}, &attitude, kStandardGravity_mps2);
    CHECK_THAT(readings[10].accel_mps2,
               WithinAbs(-kStandardGravity_mps2 * (1.0 - std::cos(tilt_rad)), 1e-9));
    CHECK_THAT((wrong * bins[10].accel_mps2).head<2>().norm(),
               WithinAbs(kStandardGravity_mps2 * std::sin(tilt_rad), 1e-9));
  }
}

TEST_CASE("gains carry an error's covariance over many steps as a whole inverse does",
          "[inertial]") {
  // Joint covariance of all instants from the information matrix, formed whole.
  constexpr std::size_t kInstants = 12;
  constexpr int kN = kLogStates;
  LogModel model;
  model.first_variance << 0.01, 0.09, 4.0, 0.04, 1.0;
  for (std::size_t i = 0; i + 1 < kInstants; ++i) {
    model.steps.push_back({0.05 + 0.01 * static_cast<double>(i % 3), 20.0, 1e-6});
    model.wander.push_back(Eigen::Vector2d(1e-5, 1e-6));
  }
  for (std::size_t i = 0; i < kInstants; ++i) {
    StateReading<kN> reading;
    reading.at = i;
    reading.row[at::kAccel] = reading.row[at::kBias] = 1.0;
    reading.value = std::sin(static_cast<double>(i));
    reading.variance = 0.01;
    model.readings.push_back(reading);
    if (i % 5 == 0) {
      reading.row.setZero();
      reading.row[at::kVelocity] = 1.0;
      reading.value = 0.0;
      reading.variance = 1e-4;
      model.readings.push_back(reading);
    }
  }
  const auto solved = smooth_states(model);
  Eigen::MatrixXd prior = Eigen::MatrixXd::Zero(kN * kInstants, kN * kInstants);
  Eigen::Matrix<double, kN, kN> p = model.first_variance.asDiagonal();
  std::vector<Eigen::Matrix<double, kN, kN>> transition;
  for (std::size_t i = 0; i < kInstants; ++i) {
    if (i > 0) {
      Eigen::Matrix<double, kN, kN> f = Eigen::Matrix<double, kN, kN>::Identity();
      const StateStep& step = model.steps[i - 1];
      f(0, 1) = f(1, 2) = step.dt_s;
      f(0, 2) = 0.5 * step.dt_s * step.dt_s;
      transition.push_back(f);
      p = (f * p * f.transpose()).eval();
      p.topLeftCorner<3, 3>() += step.jerk_psd_m2ps5 * white_jerk_noise(step.dt_s);
      p(0, 0) += step.height_variance_m2;
      p.diagonal().tail<2>() += model.wander[i - 1];
    }
    const auto row = static_cast<Eigen::Index>(i * kN);
    prior.block<kN, kN>(row, row) = p;
    for (std::size_t k = i; k-- > 0;) {  // Cov(x_i, x_k) = F Cov(x_(i-1), x_k)
      const auto column = static_cast<Eigen::Index>(k * kN);
      prior.block<kN, kN>(row, column) = transition.back() * prior.block<kN, kN>(row - kN, column);
      prior.block<kN, kN>(column, row) = prior.block<kN, kN>(row, column).transpose();
    }
  }
  Eigen::MatrixXd information = prior.inverse();
  for (const auto& reading : model.readings) {
    const auto row = static_cast<Eigen::Index>(reading.at * kN);
    information.block<kN, kN>(row, row) += reading.row * reading.row.transpose() / reading.variance;
  }
  const Eigen::MatrixXd joint = information.inverse();
  Eigen::Matrix<double, kN, kN> across = solved.links.back().covariance;
  for (std::size_t i = kInstants - 1; i-- > 0;) {
    across = (solved.links[i].gain * across).eval();
    const Eigen::Matrix<double, kN, kN> expected = joint.block<kN, kN>(
        static_cast<Eigen::Index>(i * kN), static_cast<Eigen::Index>((kInstants - 1) * kN));
    CHECK((across - expected).norm() < 1e-5 * joint.norm());
    const Eigen::Matrix<double, kN, kN> here =
        joint.block<kN, kN>(static_cast<Eigen::Index>(i * kN), static_cast<Eigen::Index>(i * kN));
    CHECK((solved.links[i].covariance - here).norm() < 1e-5 * joint.norm());
  }
}
