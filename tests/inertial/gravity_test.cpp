// Gravity against the closed formula of the reference ellipsoid WGS 84 (NIMA TR8350.2, 3rd ed.
// 2000, section 4.1, from memory: Somigliana's form with its constants).
#include "libkinetics/inertial/gravity.h"

#include <cmath>
#include <numbers>

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;

TEST_CASE("gravity follows the ellipsoid from pole to pole", "[inertial]") {
  for (double latitude_deg = -90.0; latitude_deg <= 90.0; latitude_deg += 7.5) {
    CAPTURE(latitude_deg);
    const double sine = std::sin(latitude_deg * std::numbers::pi / 180.0);
    const double ellipsoid = 9.7803253359 * (1.0 + 0.00193185265241 * sine * sine) /
                             std::sqrt(1.0 - 0.00669437999013 * sine * sine);
    CHECK_THAT(kinetics::gravity_at(latitude_deg), WithinAbs(ellipsoid, 2e-4));
  }
}

TEST_CASE("a thousand metres up gravity is weaker by three thousandths", "[inertial]") {
  // 2 g / R with the earth's mean radius of 6371.0 km (IUGG).
  const double expected = 1000.0 * 2.0 * 9.81 / 6371.0e3;
  CHECK_THAT(kinetics::gravity_at(47.0) - kinetics::gravity_at(47.0, 1000.0),
             WithinAbs(expected, 2e-5));
}
