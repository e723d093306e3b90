// The truth of these tests is how things look in a picture: of two discs of one kind the nearer is
// the larger.
#include "libkinetics/tracking/choose_disc.h"

#include <catch2/catch.hpp>

namespace kinetics {
namespace {

DiscMerit lifted(double radius_px, double rim_seen) {
  DiscMerit merit;
  merit.up_and_down_m = 2.0;
  merit.radius_px = radius_px;
  merit.rim_seen = rim_seen;
  return merit;
}

}  // namespace

TEST_CASE("A disc that nothing rivals is the one filmed") {
  CHECK(nearer_of({.disc = 1, .rival = {}}, {lifted(60.0, 0.9), lifted(40.0, 0.6)}) == 1);
}

TEST_CASE("Of two discs that are lifted at other times the clearly larger one is filmed") {
  CHECK(nearer_of({.disc = 0, .rival = 1}, {lifted(31.0, 0.6), lifted(45.0, 0.57)}) == 1);
}

TEST_CASE("Of two discs alike in size nothing tells which is filmed") {
  CHECK_FALSE(nearer_of({.disc = 0, .rival = 1}, {lifted(42.0, 0.7), lifted(45.0, 0.7)}));
}

TEST_CASE("Something larger of which far less is seen need not be a disc") {
  CHECK_FALSE(nearer_of({.disc = 0, .rival = 1}, {lifted(31.0, 0.7), lifted(45.0, 0.42)}));
}

}  // namespace kinetics
