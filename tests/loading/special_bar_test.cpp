// Bars with a camber or another place on the back, and what they do to a chain load.
#include "libkinetics/loading/special_bar.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace kinetics {

TEST_CASE("a cambered bar's sleeves hang lower and lift less chain", "[loading]") {
  const SpecialBar straight;
  const SpecialBar camber{
      .name = "camber", .mass = Mass::pounds(85), .rests_higher_m = 0.02, .sleeves_lower_m = 0.25};
  CHECK_THAT(sleeve_height_m(camber, 1.5), WithinAbs(1.27, 1e-12));
  CHECK_THAT(sleeve_shift_m(straight, camber), WithinAbs(-0.23, 1e-12));
  CHECK_THAT(sleeve_shift_m(camber, straight), WithinAbs(0.23, 1e-12));

  BarLoad load{.discs_kg = 100.0};
  load.chains.push_back({.name = "c", .mass_kg_per_m = 3.8, .free_length_m = 2.0});
  take_bar(load, camber);
  CHECK(load.bar_name == "camber");
  // 85 lb + 100 kg + two strands of 1.27 m.
  CHECK_THAT(load_at(load, sleeve_height_m(camber, 1.5)).moving_kg,
             WithinRel(85 * 0.45359237 + 100.0 + 7.6 * 1.27, 1e-12));
}

TEST_CASE("bars that cannot be are refused by name", "[loading][bad-input]") {
  CHECK_THROWS_WITH(check_bar({.name = "x", .mass = Mass::kilograms(-1)}), Contains("bar (x)"));
  CHECK_THROWS_AS(check_bar({.name = "x", .mass = Mass::kilograms(std::nan(""))}), Error);
  CHECK_THROWS_WITH(check_bar({.name = "x", .sleeves_lower_m = 25.0}), Contains("25 m"));
  CHECK_THROWS_AS(check_bar({.name = "x", .rests_higher_m = std::nan("")}), Error);
}

}  // namespace kinetics
