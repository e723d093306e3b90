// Reps a session against Prilepin's table (second-hand copies) and a coach's band.
#include "libkinetics/training/volume.h"

#include <catch2/catch.hpp>

using namespace kinetics;
using Catch::Contains;

namespace {
WaveSession session(int sets, double share) {
  WaveSession out;
  out.sets = sets;
  out.reps = 2;
  out.share = share;
  return out;
}
}  // namespace

TEST_CASE("10 × 2 at 50 to 60 % lies in the table, 8 × 2 under it, 12 × 2 is its optimum",
          "[training]") {
  CHECK(volume_notes(session(10, 0.50), {}).empty());
  CHECK(volume_notes(session(10, 0.60), {}).empty());
  const Notes few = volume_notes(session(8, 0.55), {});
  REQUIRE(few.size() == 1);
  CHECK(few[0].kind == NoteKind::kDecision);
  CHECK(reps_at(0.55).optimal == 24);
  CHECK(reps_at(0.70).optimal == 18);
  CHECK(reps_at(0.80).optimal == 15);
  CHECK(reps_at(0.90).most == 10);
}

TEST_CASE("outside the coach's band the fitting sets are told", "[training]") {
  VolumeLimits limits;
  limits.session_reps = FromTo{.least = 18, .most = 24};
  CHECK(volume_notes(session(10, 0.5), limits).empty());
  CHECK_THAT(volume_notes(session(14, 0.5), limits).at(0).text, Contains("9 to 12 sets of 2"));
  WaveSession cut = session(5, 0.6);
  cut.taper = true;
  CHECK(volume_notes(cut, limits).empty());
}
