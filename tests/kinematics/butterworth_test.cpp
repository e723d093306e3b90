// The zero-lag Butterworth filter against Winter's book, the dual-pass correction of Robertson &
// Dowling (J Electromyogr Kinesiol 2003; 13:569-573) and SciPy (tests/oracle/signal_values.py).
#include "libkinetics/kinematics/butterworth.h"

#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/motion.h"
#include "tests/oracle/signal_values.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

TEST_CASE("coefficients are those of Winter's book", "[kinematics][oracle]") {
  // Winter, Biomechanics and Motor Control of Human Movement, the worked example at fc/fs = 0.1
  // (digits from memory, five given); SciPy gives the rest.
  const LowPass f = butterworth(6.0, 60.0, 1);
  CHECK(f.a0 == Approx(0.06746).margin(5e-6));
  CHECK(f.b1 == Approx(1.14298).margin(5e-6));
  CHECK(f.b2 == Approx(-0.41280).margin(5e-6));
  CHECK(f.a0 + f.a1 + f.a2 + f.b1 + f.b2 == Approx(1.0).epsilon(1e-14));
}

TEST_CASE("coefficients agree with SciPy's butter to 1e-10", "[kinematics][oracle]") {
  for (const auto& want : signal_values()["butterworth"]) {
    const double ratio = want["ratio"];
    CAPTURE(ratio, want["passes"].get<int>());
    const LowPass f = butterworth(ratio * 60.0, 60.0, want["passes"]);
    CHECK(f.a0 == Approx(want["b"][0].get<double>()).epsilon(1e-10));
    CHECK(f.a1 == Approx(want["b"][1].get<double>()).epsilon(1e-10));
    CHECK(f.b1 == Approx(-want["a"][1].get<double>()).epsilon(1e-10));
    CHECK(f.b2 == Approx(-want["a"][2].get<double>()).epsilon(1e-10));
  }
}

TEST_CASE("the correction for one, two and three passes", "[kinematics]") {
  CHECK(pass_correction(1) == 1.0);
  CHECK(pass_correction(2) == Approx(0.802243263).epsilon(1e-8));
  CHECK(pass_correction(3) == Approx(0.714019978).epsilon(1e-8));
}

TEST_CASE("forth and back, half the power passes at the cut-off", "[kinematics]") {
  // Computed from (1 + (tan(pi f/fs) / tan(pi fc/fs))^4 (sqrt 2 - 1))^-1 at fs 60, fc 6 Hz.
  const LowPass f = butterworth(6.0, 60.0);
  const double table[][2] = {{1.0, 0.99971973},
                             {3.0, 0.97714767},
                             {5.0, 0.83922815},
                             {6.0, 0.70710678},
                             {12.0, 0.08806430},
                             {20.0, 0.00298085}};
  for (const auto& [hz, gain] : table) {
    CAPTURE(hz);
    CHECK(gain_both_ways(f, hz, 60.0) == Approx(gain).margin(1e-8));
  }
}

TEST_CASE("one pass and both passes agree with SciPy's lfilter and filtfilt",
          "[kinematics][oracle]") {
  const auto& even = signal_values()["even"];
  const std::vector<double> y = even["y"];
  const LowPass f = butterworth(6.0, 60.0);
  const std::vector<double> once = filter_once(y, f);
  const std::vector<double> both = filter_both_ways(y, f);
  for (std::size_t i = 0; i < y.size(); ++i) {
    CAPTURE(i);
    CHECK(once[i] == Approx(even["lfilter_6_hz"][i].get<double>()).margin(1e-12));
    CHECK(both[i] == Approx(even["filtfilt_6_hz"][i].get<double>()).margin(1e-12));
  }
}

TEST_CASE("what the filter takes from white noise, and what it leaves", "[kinematics]") {
  // Integrals of (1 - G)^2 and G^2 over frequency; 2 % for a simulation of 10 000 values.
  const double table[][3] = {
      {0.05, 0.912382, 0.321543}, {0.1, 0.828156, 0.452241}, {0.2, 0.675309, 0.630915}};
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  std::vector<double> noise(10000);
  for (double& v : noise) v = normal(random);
  for (const auto& [ratio, taken, kept] : table) {
    const std::vector<double> smooth = filter_both_ways(noise, butterworth(ratio, 1.0));
    double taken_square = 0.0;
    double kept_square = 0.0;
    for (std::size_t i = 0; i < noise.size(); ++i) {
      taken_square += (noise[i] - smooth[i]) * (noise[i] - smooth[i]);
      kept_square += smooth[i] * smooth[i];
    }
    CAPTURE(ratio);
    CHECK(std::sqrt(taken_square / 10000.0) == Approx(taken).epsilon(0.02));
    CHECK(std::sqrt(kept_square / 10000.0) == Approx(kept).epsilon(0.03));
  }
}

TEST_CASE("residual analysis finds the noise of a filmed lift within a tenth", "[kinematics]") {
  Lift lift;
  lift.rest(3.0);
  for (int i = 0; i < 5; ++i) lift.move(-0.6, 1.4).rep(0.6, 1.2).rest(1.5);
  const double sigma_m = GENERATE(0.0005, 0.0015);
  std::vector<double> y;
  for (const PathPoint& p : filmed(lift, {.sigma_m = sigma_m}).points) y.push_back(p.y_m);
  const CutOff cut = residual_analysis(y, 60.0);
  CHECK(cut.noise_rms == Approx(sigma_m).epsilon(0.10));
  CHECK(cut.cutoff_hz > 1.5);  // the lift itself lies below 3 Hz
  CHECK(cut.cutoff_hz < 8.0);
}

TEST_CASE("the Butterworth method gives a minimum-jerk rise its peak", "[kinematics]") {
  Lift lift;
  lift.rest(2.0).rep(0.6, 1.0).rest(2.0);
  const Motion motion = estimate_motion(
      filmed(lift, {.sigma_m = 1e-5}), {.method = SmoothingMethod::kButterworth, .cutoff_hz = 6.0});
  CHECK(motion.cutoff_hz == 6.0);
  double peak = 0.0;
  for (const MotionSample& s : motion.samples) peak = std::max(peak, s.velocity_mps);
  // 1.125 m/s times 0.999919 by the filter, and the central difference's v'' dt^2 / 6.
  CHECK(peak == Approx(1.125).margin(0.003));
}

TEST_CASE("velocity noise after 6 Hz and a central difference", "[kinematics]") {
  // 0.00540639 m/s for 0.5 mm at 60 Hz, from the integral of the squared gain.
  Lift lift;
  lift.rest(20.0);
  const Motion motion =
      estimate_motion(filmed(lift, {.sigma_m = 0.0005, .seed = 3}),
                      {.method = SmoothingMethod::kButterworth, .cutoff_hz = 6.0});
  double square = 0.0;
  for (const MotionSample& s : motion.samples) square += s.velocity_mps * s.velocity_mps;
  const double rms = std::sqrt(square / static_cast<double>(motion.samples.size()));
  CHECK(rms == Approx(0.00540639).epsilon(0.15));
  CHECK(motion.samples[300].velocity_sigma_mps == Approx(0.00540639).epsilon(0.08));
}

TEST_CASE("a cut-off at half the frame rate or beyond is refused", "[kinematics][bad-input]") {
  CHECK_THROWS_WITH(butterworth(30.0, 60.0), Catch::Contains("30 Hz"));
  CHECK_THROWS_AS(butterworth(0.0, 60.0), Error);
}

TEST_CASE("nine values are too few to filter both ways", "[kinematics][bad-input]") {
  CHECK_THROWS_WITH(filter_both_ways(std::vector<double>(9, 1.0), butterworth(6.0, 60.0)),
                    Catch::Contains("9 even samples"));
}
