// The smoother against penalised least squares solved another way.
//
// White jerk of density q seen through noise of variance r has as its posterior mean the spline
// that minimises sum (y - g)^2 + (r/q) integral g'''^2: a quintic smoothing spline (G. Wahba, J R
// Stat Soc B 1978; 40:364-372, from memory). tests/oracle/signal_values.py solves that with SciPy's
// B-splines and numpy's least squares. SciPy's own make_smoothing_spline penalises the second
// derivative, one order lower; with it only the velocities of smooth data can be compared.
#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/white_jerk.h"
#include "tests/oracle/signal_values.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

std::vector<HeightSighting> sightings_from(const nlohmann::json& data, double variance_m2) {
  std::vector<HeightSighting> out;
  for (std::size_t i = 0; i < data["t"].size(); ++i) {
    out.push_back({data["t"][i], data["y"][i], variance_m2, true});
  }
  return out;
}

}  // namespace

TEST_CASE("the smoother's mean is the quintic smoothing spline, at uneven times",
          "[kinematics][oracle]") {
  const auto& data = signal_values()["uneven"];
  const double variance_m2 = 0.25e-6;
  const double density = variance_m2 / data["p"].get<double>();
  const auto sightings = sightings_from(data, variance_m2);
  const SmoothedHeights s =
      smooth_heights(sightings, std::vector<double>(sightings.size() - 1, density));
  // The spline knows nothing of the first state; the smoother knows it to 3 m/s and 20 m/s2, which
  // is worth (sigma / prior)^2 of what the data say: parts in 1e5 at the ends.
  for (std::size_t i = 0; i < sightings.size(); ++i) {
    CAPTURE(i);
    CHECK(s.states[i][0] == Approx(data["quintic"][i].get<double>()).margin(2e-6));
    CHECK(s.states[i][1] == Approx(data["quintic_velocity"][i].get<double>()).margin(1e-4));
    CHECK(s.states[i][2] == Approx(data["quintic_acceleration"][i].get<double>()).margin(5e-3));
  }
}

TEST_CASE("between samples the motion is the quintic through both states", "[kinematics]") {
  // Leaving a sighting out of the fit must not change what the fit says there.
  const auto& data = signal_values()["uneven"];
  auto sightings = sightings_from(data, 0.25e-6);
  sightings[40].seen = false;
  const std::vector<double> density(sightings.size() - 1, 250.0);
  const SmoothedHeights with = smooth_heights(sightings, density);
  const double dt = sightings[41].t_s - sightings[39].t_s;
  const double part = (sightings[40].t_s - sightings[39].t_s) / dt;
  sightings.erase(sightings.begin() + 40);
  const SmoothedHeights without =
      smooth_heights(sightings, std::vector<double>(sightings.size() - 1, 250.0));
  const BridgedState b = bridge(without.states[39],
                                without.states[40],
                                without.covariances[39],
                                without.covariances[40],
                                without.to_next[39],
                                dt,
                                part,
                                250.0);
  for (int k = 0; k < 3; ++k) CHECK(b.state[k] == Approx(with.states[40][k]).epsilon(1e-9));
  CHECK(b.covariance.isApprox(full(with.covariances[40]), 1e-7));
}

TEST_CASE("velocities agree with SciPy's cubic smoothing spline on a smooth lift",
          "[kinematics][oracle]") {
  const auto& data = signal_values()["even"];
  BarPath path;
  for (std::size_t i = 0; i < data["t"].size(); ++i) {
    PathPoint p;
    p.t_s = data["t"][i];
    p.y_m = data["y"][i];
    p.sigma_x_m = p.sigma_y_m = 0.00029;  // 1 mm over sqrt 12
    path.points.push_back(p);
  }
  const Motion motion = estimate_motion(path);
  double square = 0.0;
  std::size_t count = 0;
  for (std::size_t i = 10; i + 10 < path.points.size(); ++i) {
    const double other = data["smoothing_spline_velocity"][i];
    square += std::pow(motion.samples[i].velocity_mps - other, 2);
    ++count;
  }
  // The cubic spline at its GCV penalty lets through more noise than ours: by Lanshammar's bound
  // (J Biomech 1982; 15, from memory) 0.29 mm at 60 Hz leaves 0.011 m/s in a band of 14 Hz.
  CHECK(std::sqrt(square / static_cast<double>(count)) < 0.012);
}
