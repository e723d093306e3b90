// The velocity expected at a load: straight lines, checked by hand.
#include "libkinetics/flags/expectation.h"

#include <catch2/catch.hpp>

using namespace kinetics;

namespace {

const std::vector<ExpectedVelocity> kPoints{
    {.load_kg = 80, .velocity_mps = 0.9, .sigma_mps = 0.03},
    {.load_kg = 120, .velocity_mps = 0.7, .sigma_mps = 0.04},
    {.load_kg = 140, .velocity_mps = 0.5}};

}  // namespace

TEST_CASE("between two loads the expectation lies on their line", "[flags]") {
  const Measured middle = expected_velocity(kPoints, 100.0);
  CHECK(middle.value() == Approx(0.8));
  CHECK(middle.sigma() == Approx(0.025));  // half of 0.03 and half of 0.04, as 3, 4, 5
  CHECK(expected_velocity(kPoints, 130.0).value() == Approx(0.6));
}

TEST_CASE("at a stated load the expectation is what was stated", "[flags]") {
  CHECK(expected_velocity(kPoints, 120.5).value() == 0.7);
  CHECK(expected_velocity({{.load_kg = 100, .velocity_mps = 0.8}}, 100.0).value() == 0.8);
}

TEST_CASE("a little beyond the loads the line goes on, further out nothing is expected",
          "[flags]") {
  CHECK(expected_velocity(kPoints, 74.0).value() == Approx(0.93));
  CHECK(expected_velocity(kPoints, 150.0).value() == Approx(0.4));
  CHECK_FALSE(expected_velocity(kPoints, 70.0).ok());
  CHECK_FALSE(expected_velocity(kPoints, 160.0).ok());
  CHECK_FALSE(expected_velocity({}, 100.0).ok());
  CHECK_FALSE(expected_velocity({{.load_kg = 100, .velocity_mps = 0.8}}, 120.0).ok());
}
