// Ticks are subtracted before they become seconds, so late stamps keep their precision.
#include "libkinetics/core/media_time.h"

#include <catch2/catch.hpp>

using kinetics::MediaTime;
using kinetics::seconds_between;

TEST_CASE("one tick of a late stamp is still one tick", "[core]") {
  const kinetics::TimeBase base{1, 1'000'000'000};
  const MediaTime late{9'000'000'000'000'000'000, base};
  const MediaTime later{9'000'000'000'000'000'001, base};
  CHECK(seconds_between(late, later) == 1e-9);
}

TEST_CASE("NTSC frames are 1001/30000 s apart", "[core]") {
  const kinetics::TimeBase base{1, 30000};
  CHECK(seconds_between({0, base}, {1001, base}) == Approx(1001.0 / 30000.0).epsilon(1e-15));
}
