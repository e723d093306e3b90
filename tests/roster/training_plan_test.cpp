// The training plan: every key read as what it is, what stands where a key is left out, and every
// slip told with file, line and mend. The defaults are those that training_plan.h states.
#include "libkinetics/roster/training_plan.h"

#include <filesystem>
#include <fstream>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/fuzz/mutated.h"

using namespace kinetics;
using Catch::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

const std::filesystem::path kPlans =
    std::filesystem::path(KINETICS_SOURCE_DIR) / "tests/data/plans";

std::string message_of(const std::string& text) {
  try {
    (void)parse_training_plan(text, "plan.toml");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK_FALSE(error.mend().empty());
    return error.what();
  }
  return "no error";
}

constexpr double kSame = 1e-12;

}  // namespace

TEST_CASE("every key of a plan is read as what it is", "[plan]") {
  const TrainingPlan plan = read_training_plan((kPlans / "every_entry.toml").string());
  CHECK(plan.name == "spring");
  REQUIRE(plan.meet);
  CHECK(plan.meet->name == "spring open");
  CHECK(in_iso(plan.meet->day) == "2031-05-17");
  REQUIRE(plan.waves.size() == 2);
  const WavePlan& wave = plan.waves[0];
  CHECK(wave.lifters == std::vector<std::string>{"Odalys Brandt", "Imre Castellan"});
  CHECK_THAT(wave.start_share, WithinAbs(0.52, kSame));
  CHECK_THAT(wave.step_share, WithinAbs(0.02, kSame));
  CHECK_THAT(wave.reset_share.value_or(0.0), WithinAbs(0.50, kSame));
  CHECK((wave.weeks == 4 && wave.waves == 2 && wave.every_days == 7));
  CHECK((wave.sets == 8 && wave.reps == 3 && wave.rest_s == 45));
  CHECK(wave.percent_of == PercentOf::kMean);
  CHECK_FALSE(wave.first_day);
  CHECK(wave.last_days_before_meet == 8);
  REQUIRE(wave.taper_work_shares.size() == 2);
  CHECK_THAT(wave.taper_work_shares[0], WithinAbs(0.75, kSame));
  CHECK(wave.second_day_after == 3);
  CHECK_THAT(wave.second_day_work_share, WithinAbs(0.65, kSame));
  REQUIRE(wave.variants.size() == 2);
  CHECK(wave.variants[0].chains == "2 x heavy chain");
  CHECK_THAT(wave.variants[0].box_height_m.value_or(0.0), WithinAbs(0.38, kSame));
  CHECK(wave.variants[1].weeks == 2);
  CHECK(wave.variants[1].bands == "2 x light band");
  CHECK_THAT(wave.variants[1].box_height_m.value_or(0.0), WithinAbs(15 * 0.0254, kSame));
  CHECK(plan.waves[1].percent_of == PercentOf::kTop);
  CHECK(plan.waves[1].first_day == day_in("2031-02-17"));

  REQUIRE(plan.specials.size() == 1);
  CHECK(plan.specials[0].weekday == 0);
  CHECK(plan.specials[0].exercises.size() == 2);
  CHECK(plan.specials[0].every_weeks == 2);
  REQUIRE(plan.accessories.size() == 1);
  const AccessoryPlan& drag = plan.accessories[0];
  CHECK_THAT(drag.load_kg, WithinRel(130 * 0.45359237, 1e-14));  // the pound of 1959
  CHECK((drag.distance_m == 60.0 && drag.times == 8));
  CHECK((drag.heavy_weekday == 4 && drag.medium_weekday == 6 && drag.light_weekday == 1));
  CHECK_THAT(drag.medium_share, WithinAbs(0.75, kSame));
  CHECK_THAT(drag.light_share, WithinAbs(0.55, kSame));
  REQUIRE(plan.volume.session_reps);
  CHECK((plan.volume.session_reps->least == 18.0 && plan.volume.session_reps->most == 30.0));
  REQUIRE(plan.volume.accessory_week_kg_m);
  CHECK(plan.volume.accessory_week_kg_m->most == 90000.0);
  CHECK(plan.adjust.raise_above_mps == 0.04);
  CHECK(plan.adjust.lower_below_mps == 0.02);
  CHECK((plan.adjust.sessions_to_raise == 3 && plan.adjust.least_reps == 8));
  CHECK_THAT(plan.adjust.step_share, WithinAbs(0.02, kSame));
  CHECK_THAT(plan.adjust.most_raise_share, WithinAbs(0.04, kSame));
  CHECK_THAT(plan.adjust.most_lower_share, WithinAbs(0.08, kSame));
  CHECK(plan.adjust.day_sigma_mps == 0.025);
}

TEST_CASE("what a plan leaves out is common practice", "[plan]") {
  const TrainingPlan plan = read_training_plan((kPlans / "smallest.toml").string());
  CHECK_FALSE(plan.meet);
  REQUIRE(plan.waves.size() == 1);
  const WavePlan& wave = plan.waves[0];
  CHECK(wave.lifters.empty());
  CHECK_THAT(wave.start_share, WithinAbs(0.50, kSame));
  CHECK_THAT(wave.step_share, WithinAbs(0.025, kSame));
  CHECK_FALSE(wave.reset_share);
  CHECK((wave.weeks == 5 && wave.waves == 1 && wave.every_days == 7));
  CHECK((wave.sets == 10 && wave.reps == 2));
  CHECK(wave.percent_of == PercentOf::kBar);
  CHECK(wave.variants.size() == 1);
  CHECK_FALSE(plan.volume.session_reps);
  CHECK(plan.adjust.sessions_to_raise == 2);
  CHECK(read_training_plan((kPlans / "weekly.toml").string()).accessories.size() == 1);
}

TEST_CASE("the example that training_plan.h shows is a plan", "[plan]") {
  std::ifstream header(std::string(KINETICS_SOURCE_DIR) + "/libkinetics/roster/training_plan.h");
  std::string example;
  const std::string indent = "///   ";
  for (std::string line; std::getline(header, line);) {
    if (line.starts_with(indent)) example += line.substr(indent.size()) + "\n";
    if (line.starts_with("namespace")) break;
  }
  const TrainingPlan plan = parse_training_plan(example, "example");
  CHECK(plan.waves.size() == 1);
  CHECK(plan.waves.at(0).variants.size() == 2);
  CHECK(plan.specials.size() == 1);
  CHECK(plan.accessories.size() == 1);
  CHECK(plan.volume.session_reps);
}

TEST_CASE("a plan's error names file, line, trouble and mend", "[plan][bad-input]") {
  struct Case {
    std::string text;
    std::string where;
    std::string says;
  };
  const std::string wave = "[[wave]]\nlift = \"squat\"\nfirst_day = 2031-02-14\n";  // three lines
  const std::string back = "[[wave]]\nlift = \"squat\"\nlast_days_before_meet = 8\n";
  const std::string meet = "[meet]\nday = 2031-05-17\n";
  const std::string drag =
      "[[accessory]]\nname = \"drag\"\nload_kg = 60\ndistance_m = 60\ntimes = 8\n";
  const Case c = GENERATE_COPY(values<Case>({
      {"", "plan.toml:1", "no wave stands in this plan"},
      {"name = spring\n" + wave, "plan.toml:1", "TOML"},
      {wave + "name = -'développé'\n", "plan.toml:4", "outside quotes"},
      {wave + "rest_s = -'développé'\n", "plan.toml:4", "outside quotes"},
      {wave + "strat_percent = 50\n", "plan.toml:4", "Perhaps 'start_percent' is meant"},
      {wave + "start_percent = \"50 %\"\n", "plan.toml:4", "not a number"},
      {wave + "start_percent = 5\n", "plan.toml:4", "Give 10 to 110"},
      {wave + "start_percent = 100\nstep_percent = 5\n", "plan.toml:5", "from 100 % to 120 %"},
      {wave + "start_percent = 20\nstep_percent = -5\n", "plan.toml:5", "from 20 % to 0 %"},
      {wave + "reset_percent = 105\n", "plan.toml:", "from 105 % to 115 %"},
      {wave + "weeks = 2.5\n", "plan.toml:4", "Give 1 to 26"},
      {wave + "waves = 0\n", "plan.toml:4", "Give 1 to 26"},
      {wave + "every_days = 60\n", "plan.toml:4", "Give 1 to 28"},
      {wave + "sets = 400\n", "plan.toml:4", "Give 1 to 40"},
      {wave + "reps = 0\n", "plan.toml:4", "Give 1 to 30"},
      {wave + "rest_s = 1\n", "plan.toml:4", "Give 5 to 1800"},
      {wave + "percent_of = \"middle\"\n", "plan.toml:4", "\"bar\", \"mean\" or \"top\""},
      {wave + "lifters = \"Odalys Brandt\"\n", "plan.toml:4", "not a list of texts"},
      {wave + "last_days_before_meet = 8\n" + meet, "plan.toml:4", "Leave one of them out"},
      {back, "plan.toml:3", "no meet to count back from"},
      {"[[wave]]\nlift = \"squat\"\n", "plan.toml:1", "when this wave begins is not said"},
      {"[[wave]]\nfirst_day = 2031-02-14\n", "plan.toml:1", "has no 'lift'"},
      {"[[wave]]\nlift = \"squat\"\nfirst_day = \"14.2.2031\"\n", "plan.toml:3", "2031-03-07"},
      {"[[wave]]\nlift = \"squat\"\nfirst_day = \"2031-02-30\"\n", "plan.toml:3", "no day"},
      {"[[wave]]\nlift = \"squat\"\nlast_days_before_meet = 0\n" + meet, "plan.toml:3", "1 to 60"},
      {back + "weeks = 1\ntaper_work_percent = [80, 50]\n" + meet,
       "plan.toml:5",
       "longer than all"},
      {wave + "taper_work_percent = [0.5]\n", "plan.toml:4", "out of range"},
      {wave + "second_day_after = 7\n", "plan.toml:4", "Give 1 to 6 days"},
      {wave + "variant = [{ bar = \"straight bar\", box = 38 }]\n", "plan.toml:4", "box"},
      {wave + "variant = [{ box_height_cm = 380 }]\n", "plan.toml:4", "out of range"},
      {wave + "variant = [{ box_height_cm = 38, box_height_in = 15 }]\n", "plan.toml:4", "both"},
      {wave + "variant = 3\n", "plan.toml:4", "Write each as"},
      {"[wave]\nlift = \"squat\"\n", "plan.toml:1", "[[wave]]"},
      {"[meet]\nname = \"open\"\n" + wave, "plan.toml:1", "has no 'day'"},
      {"meet = 2031-05-17\n" + wave, "plan.toml:1", "Begin it with [meet]"},
      {wave + "[[special]]\nexercises = [\"dip\"]\n", "plan.toml:4", "has no 'day'"},
      {wave + "[[special]]\nday = \"Mo\"\nexercises = [\"dip\"]\n",
       "plan.toml:5",
       "day of the week"},
      {wave + "[[special]]\nday = \"Monday\"\n", "plan.toml:4", "no exercises"},
      {wave + "[[special]]\nday = \"Monday\"\nexercises = [\"dip\"]\nevery_weeks = 0\n",
       "plan.toml:7",
       "Give 1 to 12"},
      {wave + drag, "plan.toml:4", "no day"},
      {wave + drag + "heavy = \"Friday the 1st\"\n", "plan.toml:9", "Write it in full"},
      {wave + "[[accessory]]\nname = \"drag\"\nload = 60\n", "plan.toml:6", "load_kg"},
      {wave + "[[accessory]]\nname = \"drag\"\nload_kg = 60\n", "plan.toml:4", "distance_m"},
      {wave + "[[accessory]]\nname = \"drag\"\nload_kg = 60\ndistance_m = 9\n",
       "plan.toml:4",
       "times"},
      {wave + "[volume]\nreps = [30, 18]\n", "plan.toml:5", "reps = [18, 30]"},
      {wave + "[volume]\nreps = 18\n", "plan.toml:5", "not a list"},
      {wave + "[volume]\nreps = []\n", "plan.toml:5", "not a band"},
      {wave + "[adjust]\nraise_above = 0.03\n", "plan.toml:5", "raise_above_mps"},
      {wave + "[adjust]\nraise_above_mps = 3\n", "plan.toml:5", "Give 0 to 0.5"},
      {wave + "[adjust]\nsessions_to_raise = 0\n", "plan.toml:5", "Give 1 to 10"},
      {wave + "[adjust]\nmost_raise_percent = 50\n", "plan.toml:5", "out of range"},
      {wave + "[taper]\nwork = 50\n", "plan.toml:4", "'taper' is not a key of the plan"},
  }));
  CAPTURE(c.text);
  CHECK_THAT(message_of(c.text), Catch::StartsWith(c.where) && Contains(c.says));
}

TEST_CASE("a plan file that is none is unreadable", "[plan][bad-input]") {
  CHECK_THROWS_WITH(read_training_plan("no such plan.toml"), Contains("no such plan"));
  CHECK_THROWS_WITH(read_training_plan(KINETICS_SOURCE_DIR), Contains("folder"));
}

TEST_CASE("the fuzz target holds on the small plans, cut anywhere and mutated", "[plan][fuzz]") {
  const auto all = kinetics_test::contents_of(kPlans);
  REQUIRE(all.size() >= 3);
  const std::size_t finished =
      kinetics_test::finished_over(all,
                                   {"=",          "[",          "]",          "[[",
                                    "]]",         "{",          "}",          "\"",
                                    "'''",        "#",          "\n",         ",",
                                    ".",          "-",          "-1",         "0",
                                    "1e308",      "nan",        "inf",        "_kg",
                                    "_lb",        "true",       "Friday",     "percent = ",
                                    "2031-02-29", "9999-12-31", "0001-01-01", "0x7FFFFFFFFFFFFFFF",
                                    "2147483647"},
                                   400);
  // A broken promise ends the program within the target.
  CHECK(finished == all.size() * 401);
}
