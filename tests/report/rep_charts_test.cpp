// The charts of single rises within the plot: every measured rep has one, the sticking region is
// shaded where the rep has it, and the load is drawn when it is known. Judged by Python's expat.
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "libkinetics/report/plot.h"
#include "libkinetics/session/rep_loading.h"
#include "tests/media/made_clip.h"
#include "tests/support/lifts.h"
#include "tests/support/svg.h"

using namespace kinetics;
using namespace kinetics_test;
using Catch::Contains;

namespace {

Session lifted(int reps, Shape shape) {
  Lift lift(0.6);
  lift.rest(1.0);
  for (int i = 0; i < reps; ++i) lift.move(-0.6, 1.2).rest(0.5).rep(0.6, 1.4, shape).rest(1.0);
  Session session;
  session.path = filmed(lift, {.rate_hz = 30.0, .sigma_m = 0.0003});
  session.motion = estimate_motion(session.path);
  session.reps = find_reps(session.motion).reps;
  session.provenance.source_name = "set.mp4";
  REQUIRE(session.reps.size() == static_cast<std::size_t>(reps));
  return session;
}

}  // namespace

TEST_CASE("each rise has its own chart with the sticking region shaded", "[report]") {
  const std::string svg = to_svg(lifted(3, Shape::kTwoHumps));
  CHECK(evaluated(svg, "len(of('polyline', 'curve'))") == "3\n");
  CHECK(evaluated(svg, "len(of('rect', 'stick'))") == "4\n");  // and the key
  CHECK(evaluated(svg, "len(of('polygon', 'peak')), len(of('polygon', 'low'))") == "7 4\n");
  CHECK_THAT(svg, Contains("% up"));
  // From 21 to 50 % of the rise, on an axis 251 wide of 104 % of it. At 30 frames/s the first
  // peak's height is known to 4 %: 10 of the 251.
  const std::string width = evaluated(svg, "float(of('rect', 'stick')[0].get('width'))");
  CHECK(std::stod(width) == Approx(251.0 * 0.291 / 1.04).margin(10.0));
}

TEST_CASE("a rise without a sticking region says so", "[report]") {
  const std::string svg = to_svg(lifted(2, Shape::kMinimumJerk));
  CHECK(evaluated(svg, "len(of('rect', 'stick'))") == "1\n");
  CHECK_THAT(svg, Contains("no sticking region") && !Contains("% up"));
  CHECK(evaluated(svg, "len(of('polyline', 'load'))") == "0\n");
}

TEST_CASE("the load is drawn over the height when it is known", "[report]") {
  Session session = lifted(2, Shape::kMinimumJerk);
  session.options.loading.load = BarLoad{.bar_kg = 20.0, .discs_kg = 80.0};
  measure_forces(session.motion, session.options.loading, 0.02, session.reps);
  CHECK_THAT(to_svg(session), Contains("100.0 kg all the way"));
  session.options.loading.load->chains.push_back({.mass_kg_per_m = 10.0, .free_length_m = 3.0});
  measure_forces(session.motion, session.options.loading, 0.02, session.reps);
  CHECK_THAT(to_svg(session), !Contains("class=\"load\""));  // how high the bar is was not said
  session.options.loading.bar_height_at_bottom_m = 0.9;
  measure_forces(session.motion, session.options.loading, 0.02, session.reps);
  const std::string svg = to_svg(session);
  CHECK(evaluated(svg, "len(of('polyline', 'load'))") == "2\n");
  CHECK_THAT(svg, Contains(">118 kg<") && Contains(">130 kg<"));  // 20 kg/m times 0.9 and 1.5 m
}

TEST_CASE("beyond 24 reps the page says how many more there are", "[report]") {
  const std::string svg = to_svg(lifted(26, Shape::kMinimumJerk));
  CHECK(evaluated(svg, "len(of('polyline', 'curve'))") == "24\n");
  CHECK_THAT(svg, Contains("2 more reps are not drawn here"));
}
