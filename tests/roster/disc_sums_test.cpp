// Which loads the discs make, worked by hand: 182.5 kg on a bar of 20 kg without collars is 81.25
// kg a side, 3 x 25 + 5 + 1.25; 405 lb on a bar of 45 lb is 180 lb a side, 4 x 45.
#include "libkinetics/roster/disc_sums.h"

#include <catch2/catch.hpp>

using namespace kinetics;

TEST_CASE("a load that the discs make is found", "[roster]") {
  const std::vector<DiscGear> discs{{25, 6}, {20, 2}, {10, 2}, {5, 2}, {2.5, 2}, {1.25, 2}};
  CHECK(disc_sums(discs, 81.25).can_be_made);
  CHECK(disc_sums(discs, 0.0).can_be_made);
  CHECK(disc_sums(discs, 113.75).can_be_made);  // all of them
}

TEST_CASE("of a load that they do not make, both neighbours are told", "[roster]") {
  const std::vector<DiscGear> discs{{25, 6}, {10, 2}, {5, 3}};
  const DiscSums sums = disc_sums(discs, 42.0);
  CHECK_FALSE(sums.can_be_made);
  CHECK(sums.below_kg == 40.0);  // 25 + 10 + 5
  CHECK(sums.above_kg == 50.0);  // 2 x 25
  const DiscSums beyond = disc_sums(discs, 200.0);
  CHECK_FALSE(beyond.can_be_made);
  CHECK(beyond.below_kg == 90.0);  // the third disc of 5 kg has no partner
  CHECK_FALSE(beyond.above_kg.has_value());
}

TEST_CASE("pound discs make pound loads", "[roster]") {
  const double pound = 0.45359237;
  CHECK(disc_sums({{45 * pound, 8}}, 180 * pound).can_be_made);
  CHECK_FALSE(disc_sums({{45 * pound, 8}}, 170 * pound).can_be_made);
  CHECK_FALSE(disc_sums({}, 10.0).can_be_made);
}
