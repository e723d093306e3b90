// Bands fitted from scale readings, against closed-form rubber and NumPy's polyfit.
//
// Rubber: neo-Hookean, T = K (λ - 1/λ²) (Treloar, The Physics of Rubber Elasticity). Gym bands
// measured on a load cell follow second-order polynomials (McMaster, Cronin, McGuigan, J Strength
// Cond Res 24 (2010) 2056-2064). Coverage limits: binomial, 99 %.
#include "libkinetics/loading/fit_band.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/core/measured.h"
#include "libkinetics/loading/check_load.h"
#include "tests/loading/steps.h"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {
namespace {

struct Rubber {
  double modulus_n = 108.0;
  double rest_m = 1.0;
  [[nodiscard]] double operator()(double length_m) const {
    const double stretch = length_m / rest_m;
    return stretch <= 1.0 ? 0.0 : modulus_n * (stretch - 1.0 / (stretch * stretch));
  }
};

std::vector<BandReading> readings_of(const Rubber& rubber, const std::vector<double>& lengths_m) {
  std::vector<BandReading> readings;
  readings.reserve(lengths_m.size());
  for (const double length_m : lengths_m) readings.push_back({length_m, rubber(length_m)});
  return readings;
}

double tension_n(const BandFit& fit, double length_m) {
  return tension_at(fit.tension, length_m).tension_n;
}

}  // namespace

TEST_CASE("two readings are met exactly by a line", "[loading][fit]") {
  const BandFit fit = fit_band({{1.4, 80.0}, {2.0, 200.0}});
  CHECK_FALSE(fit.curved);
  CHECK(fit.degrees_of_freedom == 0);
  CHECK_THAT(tension_n(fit, 1.4), WithinRel(80.0, 1e-9));
  CHECK_THAT(tension_n(fit, 1.7), WithinRel(140.0, 1e-9));
  CHECK_THAT(tension_n(fit, 2.0), WithinRel(200.0, 1e-9));
  CHECK_THAT(fit.tension.rest_length_m, WithinAbs(1.0, 1e-9));
  CHECK(tension_n(fit, 0.99) == 0.0);
  CHECK_THAT(fit.rms_residual_n, WithinAbs(0.0, 1e-9));
}

TEST_CASE("the line's uncertainty is the scale's at the readings and grows between",
          "[loading][fit]") {
  // At the readings the scale alone; midway also the bow of the neo-Hookean band through both,
  // worked out here by bisection on its rest length.
  const Rubber rubber{.modulus_n = 150.0, .rest_m = 1.1};
  const BandFit fit = fit_band(readings_of(rubber, {1.5, 2.1}), {.reading_sigma_n = 2.0});
  CHECK_THAT(tension_at(fit.tension, 1.5).sigma_n, WithinRel(2.0, 1e-6));
  CHECK_THAT(tension_at(fit.tension, 2.1).sigma_n, WithinRel(2.0, 1e-6));
  const double bow_n = rubber(1.8) - (rubber(1.5) + rubber(2.1)) / 2.0;
  CHECK(bow_n > 2.0);
  CHECK_THAT(tension_at(fit.tension, 1.8).sigma_n,
             WithinRel(std::hypot(std::sqrt(2.0), bow_n), 1e-5));
  CHECK(tension_at(fit.tension, 2.6).sigma_n > 4.0 * 2.0);
}

TEST_CASE("more readings of rubber earn a curve within 2 % of it", "[loading][fit]") {
  const Rubber rubber{.modulus_n = 250.0};
  const BandFit fit =
      fit_band(readings_of(rubber, {1.3, 1.5, 1.7, 1.9, 2.1, 2.3}), {.reading_sigma_n = 1.0});
  CHECK(fit.curved);
  for (const double length_m : steps(1.3, 0.05, 21)) {
    CAPTURE(length_m);
    CHECK_THAT(tension_n(fit, length_m), WithinRel(rubber(length_m), 0.02));
  }
  CHECK(fit.tension.known_from_m == 1.3);
  CHECK(fit.tension.known_to_m == 2.3);
}

TEST_CASE("the curve is NumPy's, coefficient by coefficient", "[loading][fit]") {
  // numpy.polyfit(length, tension, 2), covariance 4² (AᵀA)⁻¹ and the third-order term of the
  // neo-Hookean band through its ends (SciPy's brentq); its lower root is the rest length.
  const BandFit fit =
      fit_band({{1.2, 62.0}, {1.45, 118.0}, {1.7, 160.0}, {1.95, 197.0}, {2.2, 222.0}},
               {.reading_sigma_n = 4.0});
  REQUIRE(fit.curved);
  CHECK_THAT(fit.chi_squared, WithinRel(0.25357142857143583, 1e-8));
  CHECK_THAT(fit.tension.rest_length_m, WithinRel(0.9551082586655923, 1e-8));
  const auto [length_m, n, sigma_n] = GENERATE(table<double, double, double>({
      {1.3, 85.27999999999963, 2.836319404411851},
      {1.6, 144.64571428571395, 2.772757404146463},
      {2.1, 212.95999999999958, 2.836319404412212},
  }));
  CHECK_THAT(tension_at(fit.tension, length_m).tension_n, WithinRel(n, 1e-9));
  CHECK_THAT(tension_at(fit.tension, length_m).sigma_n, WithinRel(sigma_n, 1e-6));
}

TEST_CASE("readings on a line stay a line", "[loading][fit]") {
  const BandFit fit = fit_band({{1.2, 51.0}, {1.5, 99.0}, {1.8, 152.0}, {2.1, 199.0}});
  CHECK_FALSE(fit.curved);
  CHECK(fit.degrees_of_freedom == 2);
}

TEST_CASE("a measured rest length is a reading of no tension", "[loading][fit]") {
  const Rubber rubber{.modulus_n = 250.0};
  const BandFit fit = fit_band(readings_of(rubber, {1.5, 2.1}), {.rest_length_m = 1.0});
  CHECK(fit.curved);
  CHECK(tension_n(fit, 1.0) == 0.0);
  CHECK_THAT(tension_n(fit, 1.5), WithinRel(rubber(1.5), 1e-9));
  CHECK_THAT(tension_n(fit, 2.1), WithinRel(rubber(2.1), 1e-9));
  CHECK(fit.tension.known_from_m == 1.0);
  for (const double length_m : steps(1.3, 0.05, 17)) {
    CAPTURE(length_m);
    CHECK_THAT(tension_n(fit, length_m), WithinRel(rubber(length_m), 0.12));
  }
  const BandFit single = fit_band({{2.0, 200.0}}, {.rest_length_m = 1.0});
  CHECK_THAT(tension_n(single, 1.5), WithinRel(100.0, 1e-9));
  CHECK(tension_at(single.tension, 1.5).sigma_n > 10.0);
}

TEST_CASE("the fitted curve goes on straight and never falls", "[loading][fit]") {
  const BandFit fit = fit_band({{1.2, 60.0}, {1.6, 130.0}, {2.0, 170.0}});
  REQUIRE(fit.curved);
  double before_n = 0.0;
  for (const double length_m : steps(0.8, 0.05, 64)) {
    CHECK(tension_n(fit, length_m) >= before_n);
    before_n = tension_n(fit, length_m);
  }
}

TEST_CASE("95 % intervals hold the tension of rubber between the readings", "[loading][fit]") {
  const std::vector<double> lengths_m = GENERATE(std::vector<double>{1.3, 2.0},
                                                 std::vector<double>{1.3, 1.65, 2.0},
                                                 std::vector<double>{1.3, 1.5, 1.65, 1.8, 2.0});
  CAPTURE(lengths_m.size());
  std::mt19937 random(7);
  std::normal_distribution<double> noise(0.0, 5.0);
  std::uniform_real_distribution<double> between(1.3, 2.0);
  std::uniform_real_distribution<double> stiffness(80.0, 600.0);
  std::uniform_real_distribution<double> rest(0.9, 1.15);
  constexpr int kBands = 2000;
  int held = 0;
  for (int i = 0; i < kBands; ++i) {
    const Rubber rubber{.modulus_n = stiffness(random), .rest_m = rest(random)};
    std::vector<BandReading> readings = readings_of(rubber, lengths_m);
    for (BandReading& reading : readings) {
      reading.tension_n = std::max(reading.tension_n + noise(random), 0.0);
    }
    const double length_m = between(random);
    const BandTension fitted = fit_band(readings).tension;
    const TensionAt here = tension_at(fitted, length_m);
    REQUIRE_NOTHROW(check_load({.bands = {{.name = "fitted", .tension = fitted}}}));
    if (std::abs(here.tension_n - rubber(length_m)) <= kNormal95 * here.sigma_n) ++held;
  }
  CAPTURE(held);
  CHECK(held >= 0.93 * kBands);
}

TEST_CASE("scatter beyond the scale's is told and widens the tension", "[loading][fit]") {
  const std::vector<BandReading> readings = {{1.2, 40.0}, {1.5, 120.0}, {1.8, 130.0}, {2.1, 215.0}};
  const BandFit fit = fit_band(readings, {.reading_sigma_n = 2.0});
  CHECK_THAT(fit.chi_squared, WithinRel(std::pow(fit.rms_residual_n / 2.0, 2) * 4.0, 1e-9));
  REQUIRE(fit.notes.size() == 1);
  CHECK_THAT(fit.notes[0].text,
             Contains("scatter") && Contains("reading " + std::to_string(fit.worst + 1)));
  CHECK(tension_at(fit.tension, 1.65).sigma_n > 4.0);
  CHECK_THAT(describe(fit, readings), Contains("1.50 m: read 120.0 N") && Contains("on average"));
}

TEST_CASE("a scale under the whole rig gives the tension of one band", "[loading][fit]") {
  // Two folded bands, anchors 0.9 m aside, bar 1.2 m over them: each of four runs carries its share
  // over 3-4-5. 80 kgf upright: 80 g / 4 / 0.8 in each run, 3.0 m of band.
  const Band hung{.name = "b", .anchor_offset_m = 0.9, .doubled = true};
  const BandReading reading = reading_as_hung(hung, 1.2, 80.0);
  CHECK_THAT(reading.length_m, WithinRel(3.0, 1e-12));
  CHECK_THAT(reading.tension_n, WithinRel(80.0 * 9.80665 / 4.0 / 0.8, 1e-12));
  CHECK_THROWS_WITH(reading_as_hung(hung, 0.0, 80.0), Contains("band (b)"));
}

TEST_CASE("readings that cannot be are refused by number", "[loading][fit][bad-input]") {
  CHECK_THROWS_AS(fit_band({}), Error);
  CHECK_THROWS_WITH(fit_band({{1.5, 90.0}}), Contains("two lengths"));
  CHECK_THROWS_WITH(fit_band({{1.5, 90.0}, {1.5, 95.0}}), Contains("one length"));
  CHECK_THROWS_WITH(fit_band({{1.5, 90.0}, {-1.0, 95.0}}), Contains("reading 2"));
  CHECK_THROWS_WITH(fit_band({{1.5, std::nan("")}, {2.0, 95.0}}), Contains("reading 1"));
  CHECK_THROWS_WITH(fit_band({{1.5, 90.0}, {2.0, 60.0}}), Contains("falls"));
  CHECK_THROWS_WITH(fit_band({{0.9, 90.0}, {2.0, 160.0}}, {.rest_length_m = 1.0}),
                    Contains("rest length"));
  CHECK_THROWS_AS(fit_band({{1.5, 90.0}, {2.0, 160.0}}, {.reading_sigma_n = 0.0}), Error);
}

}  // namespace kinetics
