// A measured number carries its 95 % interval: value ± 1.959964 sigma (normal quantile, the t table
// for infinite degrees of freedom).
#include "libkinetics/core/measured.h"

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using kinetics::Measured;
using kinetics::Reason;

TEST_CASE("the 95 % interval is 1.959964 sigma either side", "[core]") {
  const Measured velocity(0.80, 0.01);
  CHECK(velocity.lo() == Approx(0.80 - 0.01959964).epsilon(1e-9));
  CHECK(velocity.hi() == Approx(0.80 + 0.01959964).epsilon(1e-9));
}

TEST_CASE("a number that could not be had gives its reason and no value", "[core]") {
  const Measured hidden = Reason::kDiscHidden;
  CHECK_FALSE(hidden.ok());
  CHECK(in_words(hidden.reason()) == "disc hidden");
  CHECK_THROWS_AS(hidden.value(), kinetics::Error);
}
