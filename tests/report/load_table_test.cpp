// The second table and the flags' sentences beneath the velocities, and a checked sheet in words.
#include "libkinetics/report/load_table.h"

#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/report/csv.h"
#include "libkinetics/report/sheet_check.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;

namespace {

Session loaded_rep() {
  Session session;
  session.clip.width_px = 1280;
  session.options.loading.load = BarLoad{.bar_kg = 20, .discs_kg = 80};
  Rep rep;
  rep.mean_velocity_mps = {0.8121, 0.0031};
  rep.bottom_load_kg = {100.0, 0.2};
  rep.mean_load_kg = {106.25, 0.2};
  rep.top_load_kg = {112.5, 0.2};
  rep.mean_force_n = {1041.96, 2.0};
  rep.peak_force_n = {1502.3, 20.0};
  rep.mean_power_w = {846.2, 5.0};
  rep.sticking_from_height = {0.312, 0.01};
  rep.sticking_low_height = {0.478, 0.02};
  rep.second_peak_height = {0.703, 0.02};
  session.reps = {rep};
  return session;
}

void check_fits(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(shown_width(line) <= 80);
    CHECK((line.empty() || line.back() != ' '));
  }
}

}  // namespace

TEST_CASE("load, force, power and the slow point stand in one row a rep", "[report]") {
  // 1.96 sigma: 3.9 N, 39.2 N, 9.8 W.
  CHECK_THAT(
      load_table(loaded_rep()),
      Contains("100.0  106.2  112.5    1042 ± 4   1502 ± 39    846 ± 10  48 %, 31-70\n") ||
          Contains("100.0  106.3  112.5    1042 ± 4   1502 ± 39    846 ± 10  48 %, 31-70\n"));
}

TEST_CASE("no sticking region, one lost in noise and one not seen are told apart", "[report]") {
  Session session = loaded_rep();
  const auto [reason, words] =
      GENERATE(table<Reason, std::string>({{Reason::kNotApplicable, " none\n"},
                                           {Reason::kWithinNoise, " cannot tell\n"},
                                           {Reason::kDiscHidden, " not measured\n"}}));
  session.reps[0].sticking_low_height = reason;
  CHECK_THAT(load_table(session), Contains(words));
}

TEST_CASE("why force is missing is said once", "[report]") {
  Session session = loaded_rep();
  session.reps[0].mean_force_n = Reason::kHeightUnknown;
  session.reps.push_back(session.reps[0]);
  const std::string table = load_table(session);
  const std::string words = "bar height above the floor";
  CHECK_THAT(table, Contains(words));
  CHECK(table.find(words) == table.rfind(words));
}

TEST_CASE("without a load and a sticking region there is no second table", "[report]") {
  Session session = loaded_rep();
  session.options.loading.load.reset();
  CHECK_FALSE(load_table(session).empty());  // the sticking region is shown still
  session.reps[0].sticking_low_height = Reason::kNotApplicable;
  CHECK(load_table(session).empty());
}

TEST_CASE("the head says who lifted what", "[report]") {
  Session session = loaded_rep();
  CHECK_THAT(to_table(session), Contains("Load: 100 kg\n"));
  session.options.plan = SetPlan{.sheet = "day.csv",
                                 .row = 4,
                                 .lifter = "Odalys Brandt",
                                 .lift = "box squat",
                                 .bar = "cambered bar",
                                 .box_height_m = 0.381,
                                 .stated_load_kg = 102.05828325,
                                 .unit = MassUnit::kPound,
                                 .set = 3,
                                 .start = "17:05"};
  session.options.loading.load->chains.push_back({.name = "long chain", .strands = 2});
  CHECK_THAT(
      set_in_words(session),
      Catch::StartsWith("Odalys Brandt, box squat on a box of 38.1 cm, cambered bar: 225 lb, 2") &&
          Contains("(day.csv row 4, set 3, 17:05)"));
}

TEST_CASE("every finding is a sentence below, a word beside its rep and a cell", "[report]") {
  Session session = loaded_rep();
  session.findings = {{.set = 1,
                       .rep = 1,
                       .kind = FindingKind::kBelowExpected,
                       .certainty = Certainty::kLikely,
                       .evidence = "0.812 m/s, 0.90 expected"}};
  CHECK_THAT(
      to_table(session),
      Contains("maybe below") &&
          Contains("Set 1 rep 1, slower than expected: likely. 0.812 m/s, 0.90 expected.\n"));
  CHECK_THAT(to_csv(session),
             Contains("\"below-expected (likely): 0.812 m/s, 0.90 expected\"") &&
                 Contains(",maybe-below-expected\r\n"));
}

TEST_CASE("both tables fit 80 columns whatever the session holds", "[report]") {
  const auto seed = GENERATE(range(1U, 20U));
  CAPTURE(seed);
  Session session = kinetics_test::random_session(seed, 20, 8);
  session.options.loading.load = BarLoad{.bar_kg = 20, .discs_kg = 80};
  session.reps[0] = loaded_rep().reps[0];
  session.reps[0].set = session.reps[0].number = 100;
  session.reps[0].mean_force_n = {12345.0, 600.0};
  check_fits(to_table(session));
}

TEST_CASE("a checked sheet shows the loads and everything that is wrong", "[report]") {
  const Roster roster = parse_roster(R"(
[[bar]]
name = "straight bar"
mass_kg = 20
[[chain]]
name = "long chain"
mass_kg_per_m = 3.8
length_m = 1.6
[[rack]]
name = "rack one"
limit_kg = 108
[[lifter]]
name = "Odalys Brandt of the Very Long Name Indeed"
[[lifter.lift]]
lift = "box squat"
bottom_height_cm = 45
lockout_height_cm = 105
)",
                                     "r.toml");
  const SheetReading reading = parse_sheet(
      "lifter,lift,load kg,chains,set\n"
      "Odalys Brandt of the Very Long Name Indeed,box squat,100,long chain,1\n"
      "Odalys Brandt of the Very Long Name Indeed,box squat,105,long chain,2\n"
      "Somebody,box squat,100,,3\n"
      "Odalys Brandt of the Very Long Name Indeed,box squat,many,,4\n"
      "Odalys Brandt of the Very Long Name Indeed,box squat,,,\n",
      "s.csv");
  const SheetVerdict verdict = check_in_words(reading, roster);
  CAPTURE(verdict.text);
  CHECK(verdict.problems == 2);
  check_fits(verdict.text);
  // Two strands of 3.8 kg/m: 3.42 kg at 0.45 m and 7.98 kg at 1.05 m.
  CHECK_THAT(verdict.text, Contains("100.0    103.4    108.0\n"));
  CHECK_THAT(verdict.text, Contains("105.0    108.4    113.0\n"));
  CHECK_THAT(verdict.text, Contains("113.0 kg, is beyond the stated limit of rack one"));
  CHECK_THAT(verdict.text, !Contains("108.0 kg, is beyond"));
  CHECK_THAT(verdict.text, Contains("s.csv row 4, column A (lifter)"));
  CHECK_THAT(verdict.text, Contains("s.csv row 5, column C (load)"));
  CHECK_THAT(verdict.text, Contains("3 sets read, 1 row to fill in."));
  CHECK_THAT(verdict.text, Contains("Chains swing"));
}

TEST_CASE("a load that the roster's heights do not tell has a footnote with the mend", "[report]") {
  const Roster roster = parse_roster(R"(
[[bar]]
name = "straight bar"
mass_kg = 20
[[chain]]
name = "long chain"
mass_kg_per_m = 3.8
length_m = 1.6
[[lifter]]
name = "Imre Castellan"
[[lifter.lift]]
lift = "bench"
lockout_height_cm = 105
)",
                                     "r.toml");
  const auto checked = [&](const std::string& chains) {
    return check_in_words(parse_sheet("lifter,lift,load kg,chains\nImre Castellan,bench,70," +
                                          chains + "\nImre Castellan,bench,75," + chains + "\n",
                                      "s.csv"),
                          roster)
        .text;
  };
  const std::string text = checked("long chain");
  CAPTURE(text);
  check_fits(text);
  CHECK_THAT(text, Contains("70.0        -     78.0\n"));  // two strands of 3.8 kg/m, 1.05 m hang
  CHECK_THAT(text, Contains("Add to the roster: bottom_height_cm to the bench of Imre"));
  CHECK(text.find("bottom_height_cm") == text.rfind("bottom_height_cm"));
  CHECK_THAT(checked(""), !Contains("Add to the roster"));
}
