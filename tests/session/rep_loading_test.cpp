// The load of a session and its reps put together: where the floor lies, and what is said when that
// is not known. Hand-worked numbers.
#include "libkinetics/session/rep_loading.h"

#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using Catch::Matchers::WithinAbs;

namespace {

Rep rep_between(double bottom_m, double top_m, RepKind kind = RepKind::kFull) {
  Rep rep;
  rep.bottom_height_m = bottom_m;
  rep.top_height_m = top_m;
  rep.kind = kind;
  rep.mean_velocity_mps = {0.6, 0.01};
  return rep;
}

struct Lifted {
  Motion motion;
  std::vector<Rep> reps;
};

Lifted two_reps() {
  kinetics_test::Lift lift(0.6);
  lift.rest(1.0);
  for (int i = 0; i < 2; ++i) lift.move(-0.6, 1.5).rest(0.8).rep(0.6, 1.2).rest(1.0);
  Lifted out{estimate_motion(kinetics_test::filmed(lift, {.sigma_m = 0.0002})), {}};
  out.reps = find_reps(out.motion).reps;
  REQUIRE(out.reps.size() == 2);
  return out;
}

}  // namespace

TEST_CASE("the floor lies as far below the middle rep as the height that was given", "[session]") {
  const std::vector<Rep> reps{rep_between(-0.52, 0.10),
                              rep_between(-0.50, 0.11),
                              rep_between(-0.49, 0.10),
                              rep_between(-0.20, 0.10, RepKind::kPartial)};
  LoadingChoice loading{.bar_height_at_bottom_m = 0.90, .height_sigma_m = 0.01};
  auto height = bar_height_of(loading, reps);
  REQUIRE(height);
  CHECK_THAT(height->at_path_zero_m, WithinAbs(1.40, 1e-12));
  CHECK(height->sigma_m > 0.01);
  CHECK(height->sigma_m < 0.02);
  loading = {.bar_height_at_lockout_m = 1.52, .height_sigma_m = 0.01};
  height = bar_height_of(loading, reps);
  REQUIRE(height);
  CHECK_THAT(height->at_path_zero_m, WithinAbs(1.42, 1e-12));
}

TEST_CASE("without a height or a rep the floor is not known", "[session]") {
  const std::vector<Rep> reps{rep_between(-0.5, 0.1)};
  CHECK_FALSE(bar_height_of(LoadingChoice{}, reps));
  CHECK_FALSE(bar_height_of({.bar_height_at_bottom_m = 0.9}, {}));
}

TEST_CASE("a straight weight needs no height, chains do", "[session]") {
  Lifted l = two_reps();
  LoadingChoice loading;
  measure_forces(l.motion, loading, 0.02, l.reps);
  CHECK(l.reps[0].mean_force_n.reason() == Reason::kLoadUnknown);
  loading.load = BarLoad{.bar_kg = 20.0, .discs_kg = 80.0};
  measure_forces(l.motion, loading, 0.02, l.reps);
  CHECK_THAT(l.reps[1].mean_force_n.value(), WithinAbs(980.665, 0.5));
  loading.load->chains.push_back({.mass_kg_per_m = 3.8, .free_length_m = 3.0});
  measure_forces(l.motion, loading, 0.02, l.reps);
  CHECK(l.reps[0].mean_force_n.reason() == Reason::kHeightUnknown);
  loading.bar_height_at_bottom_m = 0.9;
  measure_forces(l.motion, loading, 0.02, l.reps);
  // Two strands of 3.8 kg/m with 0.9 m off the floor.
  CHECK_THAT(l.reps[0].bottom_load_kg.value(), WithinAbs(106.84, 0.1));
}
