// Against the algebra: a parabola lies off itself by nothing, and at even times the sum is a third
// of the third difference, whose weights are 1, -3, 3, -1.
#include "libkinetics/core/off_parabola.h"

#include <catch2/catch.hpp>

using kinetics::off_parabola_weights;

namespace {

double off(const std::array<double, 4>& t_s, const std::array<double, 4>& y, std::size_t own) {
  const auto weights = off_parabola_weights(t_s, own);
  double sum = 0.0;
  for (std::size_t k = 0; k < 4; ++k) sum += weights[k] * y[k];
  return sum;
}

}  // namespace

TEST_CASE("a point on the parabola through its neighbours lies off it by nothing", "[core]") {
  const std::array<double, 4> t_s{0.0, 0.03, 0.11, 0.12};
  std::array<double, 4> y{};
  for (std::size_t k = 0; k < 4; ++k) y[k] = 2.0 - 3.0 * t_s[k] + 40.0 * t_s[k] * t_s[k];
  CHECK(off(t_s, y, 1) == Approx(0.0).margin(1e-12));
  CHECK(off(t_s, y, 2) == Approx(0.0).margin(1e-12));
  y[2] -= 0.5;
  CHECK(off(t_s, y, 2) == Approx(0.5));
}

TEST_CASE("at even times it is a third of the third difference", "[core]") {
  const std::array<double, 4> t_s{0.0, 1.0, 2.0, 3.0};
  const std::array<double, 4> y{5.0, 1.0, 4.0, 2.0};
  const double third_difference = y[0] - 3.0 * y[1] + 3.0 * y[2] - y[3];
  CHECK(off(t_s, y, 1) == Approx(third_difference / 3.0));
  CHECK(off(t_s, y, 2) == Approx(-third_difference / 3.0));
}
