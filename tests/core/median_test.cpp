// The definition of the median: half of the values lie on either side.
#include "libkinetics/core/median.h"

#include <catch2/catch.hpp>

using kinetics::even_median_of;
using kinetics::median_of;

TEST_CASE("the median of an odd number of values is the one in the middle", "[core]") {
  CHECK(median_of({9.0, 1.0, 4.0}) == 4.0);
  CHECK(even_median_of({9.0, 1.0, 4.0}) == 4.0);
  CHECK(median_of({7.0}) == 7.0);
}

TEST_CASE("of an even number it is the upper of the middle two, or half-way between them",
          "[core]") {
  CHECK(median_of({9.0, 1.0, 4.0, 5.0}) == 5.0);
  CHECK(even_median_of({9.0, 1.0, 4.0, 5.0}) == 4.5);
  CHECK(even_median_of({2.0, 1.0}) == 1.5);
}

TEST_CASE("of no values the median is 0", "[core]") {
  CHECK(median_of({}) == 0.0);
  CHECK(even_median_of({}) == 0.0);
}
