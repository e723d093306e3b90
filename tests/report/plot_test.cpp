// The plot is well-formed XML (judged by Python's expat), carries every rep and every gap, stays
// small for an hour of footage and needs nothing from outside.
#include "libkinetics/report/plot.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/report/chart.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"
#include "tests/support/svg.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::evaluated;
using kinetics_test::random_session;

namespace {

/// `seconds` of a bar that goes up and down at 60 pictures a second.
Session swinging(double seconds) {
  Session session;
  session.provenance.source_name = "swing.mp4";
  for (int i = 0; i < static_cast<int>(60.0 * seconds); ++i) {
    const double t_s = i / 60.0;
    session.motion.samples.push_back({.t_s = t_s,
                                      .height_m = 0.3 * std::sin(t_s),
                                      .velocity_mps = 0.3 * std::cos(t_s),
                                      .velocity_sigma_mps = 0.01});
    session.path.points.push_back({.t_s = t_s});
  }
  return session;
}

}  // namespace

TEST_CASE("the names of many sets do not run into each other", "[report]") {
  Session session;
  for (int i = 0; i < 3600; ++i) {
    session.motion.samples.push_back({.t_s = static_cast<double>(i), .measured = true});
  }
  for (int set = 1; set <= 40; ++set) {
    Rep rep;
    rep.set = set;
    rep.start_s = 80.0 * set;
    rep.end_s = rep.start_s + 1.0;
    rep.mean_velocity_mps = {0.6, 0.01};
    session.reps.push_back(rep);
  }
  const std::string svg = to_svg(session);
  int named = 0;
  for (int set = 1; set <= 40; ++set) {
    named += svg.find(">set " + std::to_string(set) + "<") != std::string::npos ? 1 : 0;
  }
  // 560 units wide, 46 for a name at least.
  CHECK(named >= 8);
  CHECK(named <= 13);
}

TEST_CASE("any session makes a well-formed picture", "[report]") {
  const auto seed = GENERATE(range(1U, 6U));
  const std::string svg = to_svg(random_session(seed, 200, 8));
  CHECK(evaluated(svg, "root.tag") == "{http://www.w3.org/2000/svg}svg\n");
  CHECK_THAT(svg,
             !Contains("nan") && !Contains("inf\"") && !Contains("href") && !Contains("<script"));
}

TEST_CASE("an empty session makes a well-formed picture", "[report]") {
  const std::string svg = to_svg(Session{});
  CHECK(evaluated(svg, "root.tag") == "{http://www.w3.org/2000/svg}svg\n");
  CHECK_THAT(svg, Contains("No repetition was found.") && !Contains("nan"));
}

TEST_CASE("a name with markup in it is shown, not obeyed", "[report][bad-input]") {
  Session session = swinging(5.0);
  session.provenance.source_name = "<b>&\"x\".mp4";
  CHECK(evaluated(to_svg(session), "of('text', 'title')[0].text") == "<b>&\"x\".mp4\n");
}

TEST_CASE("every rise is shaded in all three charts and numbered", "[report]") {
  Session session = swinging(40.0);
  for (int i = 0; i < 4; ++i) {
    Rep rep;
    rep.number = i + 1;
    rep.start_s = 5.0 + 8.0 * i;
    rep.end_s = rep.start_s + 1.0;
    rep.mean_velocity_mps = {0.6, 0.01};
    session.reps.push_back(rep);
  }
  session.reps[2].mean_velocity_mps = Reason::kDiscHidden;
  const std::string svg = to_svg(session);
  CHECK(evaluated(svg, "len(of('rect', 'rise'))") == "13\n");  // 4 reps, 3 charts, and the key
  CHECK(evaluated(svg, "[t.text for t in of('text', 'number')]") ==
        "['Rep', '1', '2', '3', '4']\n");
  CHECK_THAT(svg, Contains("not measured"));
}

TEST_CASE("a stretch without sight of the disc is hatched and its lines stop", "[report]") {
  Session session = swinging(20.0);
  for (int i = 300; i < 360; ++i) {
    session.path.points[static_cast<std::size_t>(i)].seen = false;
    session.motion.samples[static_cast<std::size_t>(i)].measured = false;
  }
  const std::string svg = to_svg(session);
  CHECK(evaluated(svg, "len(of('rect', 'hidden'))") == "3\n");  // two charts and the key
  CHECK(evaluated(svg, "len(of('polyline', 'height'))") == "2\n");
  CHECK(evaluated(to_svg(swinging(20.0)), "len(of('rect', 'hidden'))") == "0\n");
}

TEST_CASE("an hour of footage makes a file a phone can open", "[report]") {
  const std::string svg = to_svg(swinging(3600.0));
  CHECK(svg.size() < 300'000);
  // Thinning keeps the extremes: the line still reaches the peaks of 0.3 m/s either way.
  const std::string reach = evaluated(svg,
                                      "round(max(float(p.split(',')[1]) for p in "
                                      "of('polyline', 'velocity')[0].get('points').split()) - "
                                      "min(float(p.split(',')[1]) for p in "
                                      "of('polyline', 'velocity')[0].get('points').split()))");
  // 210 units high with a margin of 8 % of the span on either side: 210 / 1.16 = 181.
  CHECK(std::stod(reach) == Approx(181.0).margin(1.5));
}

TEST_CASE("axis ticks are round, inside and about as many as wanted", "[report]") {
  const double length = GENERATE(1e-3, 0.37, 1.0, 2.6, 24.8, 3600.0);
  const double from = GENERATE(-1.3, 0.0, 7.1);
  const svg::Span span{from, from + length};
  const auto ticks = svg::round_ticks(span, 5);
  CAPTURE(length, from);
  REQUIRE(ticks.size() >= 2);
  CHECK(ticks.size() <= 7);
  CHECK(ticks.front() >= span.from - 1e-9);
  CHECK(ticks.back() <= span.to + 1e-9);
  const double step = ticks[1] - ticks[0];
  const double leading = step / std::pow(10.0, std::floor(std::log10(step * 1.0000001)));
  CHECK((std::abs(leading - 1.0) < 1e-3 || std::abs(leading - 2.0) < 1e-3 ||
         std::abs(leading - 5.0) < 1e-3));
  CHECK(std::none_of(
      ticks.begin(), ticks.end(), [](double t) { return t == 0.0 && std::signbit(t); }));
}

TEST_CASE("the title names lifter, lift and load when a sheet told them", "[report]") {
  Session session = swinging(5.0);
  const std::string without = to_svg(session);
  CHECK(evaluated(without, "of('text', 'title')[0].text") == "swing.mp4\n");
  SetPlan plan;
  plan.lifter = "Odalys <Brandt>";
  plan.lift = "box squat";
  plan.bar = "cambered bar";
  plan.box_height_m = 0.45;
  plan.stated_load_kg = 92.5;
  session.options.plan = plan;
  BarLoad load;
  load.chains.push_back({.name = "heavy chain", .strands = 2});
  session.options.loading.load = load;
  const std::string svg = to_svg(session);
  CHECK(evaluated(svg, "of('text', 'title')[0].text") == "Odalys <Brandt>, box squat\n");
  CHECK(evaluated(svg, "of('text', 'subtitle')[0].text") ==
        "92.5 kg, 2 x heavy chain, cambered bar, box 45 cm\n");
  CHECK_THAT(svg, Contains("swing.mp4</text>"));
  session.options.plan->lifter = std::string(300, 'x');
  CHECK(evaluated(to_svg(session), "len(of('text', 'title')[0].text)") == "44\n");
}
