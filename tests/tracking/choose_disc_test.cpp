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

TEST_CASE("A rim is preferred to its hub though it is lost for half of the way") {
  DiscMerit rim = lifted(70.0, 0.6);
  DiscMerit hub = lifted(20.0, 0.9);
  hub.up_and_down_m = 2.0 * rim.up_and_down_m * rim.radius_px / hub.radius_px;
  CHECK(shows_enough(rim, hub));
}

TEST_CASE("A rim is preferred to its lip though it is lost for half of the way") {
  DiscMerit rim = lifted(70.0, 0.6);
  DiscMerit lip = lifted(62.0, 0.9);
  lip.where.y_px = rim.where.y_px + 90.0;  // which was seen lower down as well
  lip.up_and_down_m = 2.0 * rim.up_and_down_m * rim.radius_px / lip.radius_px;
  CHECK(shows_enough(rim, lip));
}

TEST_CASE("A near disc that is hidden for half of the way is not preferred to the far one") {
  DiscMerit near = lifted(70.0, 0.6);
  DiscMerit far = lifted(55.0, 0.6);
  far.where.x_px = near.where.x_px + 150.0;
  far.up_and_down_m = near.up_and_down_m;
  CHECK(shows_enough(near, far));
  near.up_and_down_m *= 0.45;
  CHECK_FALSE(shows_enough(near, far));
}

TEST_CASE("A head that goes along with a half hidden disc is not taken for the far disc") {
  DiscMerit near = lifted(70.0, 0.6);
  DiscMerit head = lifted(35.0, 0.7);
  head.where.x_px = near.where.x_px + 150.0;
  head.up_and_down_m = 2.0 * near.up_and_down_m * near.radius_px / head.radius_px;
  CHECK(shows_enough(near, head));
}

}  // namespace kinetics
