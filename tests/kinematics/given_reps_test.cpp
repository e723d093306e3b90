// Reps whose places a coach has told, against closed forms. The mean velocity between two told
// instants is the height gained over the time between them, which tests/support/lifts gives
// exactly; the room left is the smoother's own error at 240 pictures a second and 0.02 mm of noise.
#include <cmath>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/kinematics/reps.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

struct Set {
  Lift lift{1.0};
  Motion motion;
  std::vector<Rep> found;
  std::vector<RepSpan> spans;
};

Set set_of(std::initializer_list<double> durations_s, const Filming& filming = {}) {
  Set out;
  out.lift.rest(1.5);
  for (const double t : durations_s) out.lift.move(-0.6, 1.3).rest(0.4).rep(0.6, t).rest(1.2);
  out.motion = estimate_motion(filmed(out.lift, filming));
  out.found = find_reps(out.motion).reps;
  for (const Rep& rep : out.found) out.spans.push_back({rep.start_s, rep.end_s});
  REQUIRE(out.found.size() == durations_s.size());
  return out;
}

const Filming kClean{.rate_hz = 240.0, .sigma_m = 2e-5};

}  // namespace

TEST_CASE("reps told where they were found keep every number", "[kinematics][given]") {
  const Set set = set_of({1.0, 1.1, 1.5}, {.rate_hz = 60.0, .seed = 5});
  const std::vector<Rep> again = measure_reps(set.motion, set.spans);
  REQUIRE(again.size() == set.found.size());
  for (std::size_t i = 0; i < again.size(); ++i) {
    CHECK(again[i].mean_velocity_mps == set.found[i].mean_velocity_mps);
    CHECK(again[i].peak_velocity_mps == set.found[i].peak_velocity_mps);
    CHECK(again[i].eccentric_s == set.found[i].eccentric_s);
    CHECK(again[i].pause_s == set.found[i].pause_s);
    CHECK(again[i].velocity_loss == set.found[i].velocity_loss);
    CHECK(again[i].path_deviation_m == set.found[i].path_deviation_m);
    CHECK(again[i].flags == set.found[i].flags);
  }
}

TEST_CASE("a told span is measured from end to end", "[kinematics][given]") {
  const Set set = set_of({1.0, 1.2}, kClean);
  std::vector<RepSpan> spans = set.spans;
  spans[0].start_s += 0.15;
  spans[0].end_s -= 0.20;
  const std::vector<Rep> reps = measure_reps(set.motion, spans);
  const double gained_m = set.lift.height_m(spans[0].end_s) - set.lift.height_m(spans[0].start_s);
  const double took_s = spans[0].end_s - spans[0].start_s;
  CHECK(reps[0].rom_m.value() == Approx(gained_m).margin(0.0005));
  CHECK(reps[0].concentric_s.value() == Approx(took_s).margin(1e-9));
  CHECK(reps[0].mean_velocity_mps.value() == Approx(gained_m / took_s).margin(0.001));
  // Half a sample to either side at both ends, evenly likely: 1/240 s / sqrt(12) each.
  CHECK(reps[0].concentric_s.sigma() ==
        Approx(std::sqrt(2.0) / 240.0 / std::sqrt(12.0)).epsilon(0.01));
  // Its descent is still its own, and the other rep is untouched.
  CHECK(reps[0].eccentric_s == set.found[0].eccentric_s);
  CHECK(reps[1].mean_velocity_mps == set.found[1].mean_velocity_mps);
}

TEST_CASE("only what a rep is compared with changes when another goes", "[kinematics][given]") {
  const Set set = set_of({1.0, 1.3, 1.6}, kClean);
  const std::vector<RepSpan> rest(set.spans.begin() + 1, set.spans.end());
  const std::vector<Rep> reps = measure_reps(set.motion, rest);
  REQUIRE(reps.size() == 2);
  CHECK(reps[0].number == 1);
  CHECK(reps[0].mean_velocity_mps == set.found[1].mean_velocity_mps);
  CHECK(reps[0].velocity_loss.value() == 0.0);  // now the fastest
  const double ratio =
      set.found[2].mean_velocity_mps.value() / set.found[1].mean_velocity_mps.value();
  CHECK(reps[1].velocity_loss.value() == Approx(1.0 - ratio));
}

TEST_CASE("the second half of a split rep has no descent of its own", "[kinematics][given]") {
  const Set set = set_of({1.4}, kClean);
  const double half_s = 0.5 * (set.spans[0].start_s + set.spans[0].end_s);
  const std::vector<RepSpan> halves{{set.spans[0].start_s, half_s}, {half_s, set.spans[0].end_s}};
  const std::vector<Rep> reps = measure_reps(set.motion, halves);
  CHECK(reps[0].eccentric_s == set.found[0].eccentric_s);
  CHECK(!reps[1].eccentric_s.ok());
  CHECK(reps[0].rom_m.value() + reps[1].rom_m.value() ==
        Approx(set.found[0].rom_m.value()).margin(1e-6));
}

TEST_CASE("spans that cannot be reps are refused with their time", "[kinematics][given]") {
  const Set set = set_of({1.0, 1.2}, kClean);
  const auto refused = [&](std::vector<RepSpan> spans) {
    try {
      (void)measure_reps(set.motion, spans);
    } catch (const Error& error) {
      return error.code() == ErrorCode::kUsage && !error.mend().empty();
    }
    return false;
  };
  CHECK(refused({{3.0, 3.0}}));
  CHECK(refused({{3.0, 2.0}}));
  CHECK(refused({{-1.0, 2.0}}));
  CHECK(refused({{3.0, 1e6}}));
  CHECK(refused({{std::nan(""), 4.0}}));
  CHECK(refused({{set.spans[0].end_s + 1.3, set.spans[1].start_s}}));  // goes down
  CHECK(refused({set.spans[0], {set.spans[0].end_s - 0.1, set.spans[1].end_s}}));
  CHECK(measure_reps(set.motion, {}).empty());
}
