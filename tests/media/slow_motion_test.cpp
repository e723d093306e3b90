// How many times slower than life a clip is stored: quotients of the two rates, by arithmetic.
#include "libkinetics/media/slow_motion.h"

#include <catch2/catch.hpp>

using kinetics::rate_from_tag;
using kinetics::slow_motion_factor;

TEST_CASE("the factor is the quotient of capture and stored rate", "[media][slow-motion]") {
  CHECK(slow_motion_factor(240.0, 30.0) == 8.0);
  CHECK(slow_motion_factor(120.0, 30.0) == 4.0);
  CHECK(slow_motion_factor(60.0, 24.0) == 2.5);
  CHECK(slow_motion_factor(30.0, 30.0) == 1.0);
  CHECK(slow_motion_factor(100.0, 30.0) == Approx(100.0 / 30.0).epsilon(1e-15));
  CHECK(slow_motion_factor(250.0, 29.97) == Approx(250.0 / 29.97).epsilon(1e-15));
}

TEST_CASE("dropped pictures and NTSC rates do not bend a whole factor", "[media][slow-motion]") {
  CHECK(slow_motion_factor(240.0, 30000.0 / 1001.0) == 8.0);
  CHECK(slow_motion_factor(240.0, 29.72) == 8.0);
  CHECK(slow_motion_factor(120.0, 24000.0 / 1001.0) == 5.0);
  CHECK(slow_motion_factor(60.0, 24000.0 / 1001.0) == 2.5);
}

TEST_CASE("a rate tag that is no positive number says nothing", "[media][slow-motion]") {
  CHECK(rate_from_tag("240.000000") == 240.0);
  CHECK(rate_from_tag("239.76") == 239.76);
  CHECK_FALSE(rate_from_tag("").has_value());
  CHECK_FALSE(rate_from_tag("fast").has_value());
  CHECK_FALSE(rate_from_tag("-30").has_value());
  CHECK_FALSE(rate_from_tag("0").has_value());
  CHECK_FALSE(rate_from_tag("nan").has_value());
  CHECK_FALSE(rate_from_tag("inf").has_value());
}
