// A measured set is held against what was planned: findings, cautions and notes. Standard gravity
// is 9.80665 m/s² (3rd CGPM, 1901).
#include "libkinetics/session/judge.h"

#include <string>

#include <catch2/catch.hpp>

using namespace kinetics;
using Catch::Contains;

namespace {

Session set_of_two(double first_mps, double second_mps) {
  Session session;
  for (const double velocity : {first_mps, second_mps}) {
    Rep rep;
    rep.number = static_cast<int>(session.reps.size()) + 1;
    rep.start_s = 3.0 * rep.number;
    rep.mean_velocity_mps = Measured(velocity, 0.005);
    rep.rom_m = Measured(0.50, 0.002);
    rep.bottom_load_kg = Measured(98.0, 0.2);
    rep.mean_load_kg = Measured(100.0, 0.2);
    rep.top_load_kg = Measured(102.0, 0.2);
    rep.mean_force_n = Measured(980.665, 2.0);
    session.reps.push_back(rep);
  }
  session.options.plan = SetPlan{.sheet = "day.csv", .row = 2, .lifter = "Odalys Brandt"};
  session.options.loading.load = BarLoad{.bar_kg = 20, .discs_kg = 80};
  return session;
}

std::string said(const Session& session) {
  std::string out;
  for (const Note& note : session.notes) out += note.text + "\n";
  return out;
}

}  // namespace

TEST_CASE("the expectation is that at the load's straight equivalent", "[session]") {
  Session session = set_of_two(0.80, 0.70);
  session.options.plan->expected = {{.load_kg = 90, .velocity_mps = 0.90},
                                    {.load_kg = 110, .velocity_mps = 0.74}};  // 0.82 at 100 kg
  judge(session);
  REQUIRE(session.findings.size() == 1);
  CHECK(session.findings[0].kind == FindingKind::kBelowExpected);
  CHECK(session.findings[0].rep == 2);
  CHECK_THAT(session.findings[0].evidence, Contains("0.82 ± 0.00 m/s expected at 100.0 kg"));
}

TEST_CASE("a load the roster tells nothing of is said, not judged", "[session]") {
  Session session = set_of_two(0.80, 0.20);
  session.options.plan->expected = {{.load_kg = 150, .velocity_mps = 0.50},
                                    {.load_kg = 180, .velocity_mps = 0.35}};
  judge(session);
  CHECK(session.findings.empty());
  CHECK_THAT(said(session), Contains("Odalys Brandt at 100.0 kg") && Contains("150 to 180 kg"));
}

TEST_CASE("depth is judged only when both heights are known", "[session]") {
  Session session = set_of_two(0.80, 0.80);
  session.options.loading.bar_height_at_lockout_m = 1.44;
  session.options.loading.height_sigma_m = 0.005;
  judge(session);
  CHECK(session.findings.empty());
  session.options.loading.bar_height_at_bottom_m = 0.88;  // 6 cm deeper than was reached
  judge(session);
  REQUIRE(session.findings.size() == 2);
  CHECK(session.findings[0].kind == FindingKind::kHighBottom);
  CHECK(session.findings[0].certainty == Certainty::kCertain);
}

TEST_CASE("the threshold of a slowed rep is that by which reps were found", "[session]") {
  Session session = set_of_two(0.80, 0.70);
  session.reps[1].velocity_loss = Measured(0.125, 0.008);
  judge(session);
  CHECK(session.findings.empty());
  session.options.reps.slowed_loss = 0.10;
  judge(session);
  REQUIRE(session.findings.size() == 1);
  CHECK(session.findings[0].kind == FindingKind::kSlowed);
}

TEST_CASE("a load at the top beyond a stated limit is cautioned", "[session]") {
  Session session = set_of_two(0.80, 0.80);
  session.options.plan->limits = {{.of = "rack one", .limit_kg = 101},
                                  {.of = "bar", .limit_kg = 103}};
  judge(session);
  REQUIRE(session.notes.size() == 1);
  CHECK(session.notes[0].kind == NoteKind::kCaution);
  CHECK_THAT(session.notes[0].text, Contains("102.0 kg") && Contains("rack one"));
}

TEST_CASE("a band stretched beyond its stated length is cautioned", "[session]") {
  Session session = set_of_two(0.80, 0.80);
  Band band{.name = "light band"};
  band.tension.length_m_tension_n = {{0.5, 0.0}, {1.0, 100.0}};
  band.tension.limit_length_m = 1.30;
  band.anchor_height_m = 0.10;
  session.options.loading.load->bands = {band};
  session.options.loading.bar_height_at_lockout_m = 1.44;
  judge(session);
  CHECK_THAT(said(session), Contains("stretched to 1.34 m"));
  CHECK_THAT(said(session), Contains("Bands recoil"));
}

TEST_CASE("more or fewer reps than planned are noted", "[session]") {
  Session session = set_of_two(0.80, 0.80);
  session.options.plan->planned_reps = 2;
  judge(session);
  CHECK(session.notes.empty());
  session.options.plan->planned_reps = 3;
  judge(session);
  CHECK_THAT(said(session), Contains("plans 3 reps and 2 were found"));
}

TEST_CASE("without plan and load the set is held against itself", "[session]") {
  Session session = set_of_two(0.80, 0.55);
  session.options.plan.reset();
  session.options.loading.load.reset();
  session.reps[1].velocity_loss = Measured(0.3125, 0.008);
  judge(session);
  REQUIRE(session.findings.size() == 1);
  CHECK(session.findings[0].kind == FindingKind::kSlowed);
  CHECK(session.notes.empty());
}
