// Every slip a roster can hold is told with file, line and mend.
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/roster.h"

using namespace kinetics;
using Catch::Contains;

namespace {

constexpr const char* kLifter = "[[lifter]]\nname = \"Imre Castellan\"\n";

std::string message_of(const std::string& text) {
  try {
    (void)parse_roster(text, "club.toml");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK_FALSE(error.mend().empty());
    return error.what();
  }
  return "no error";
}

}  // namespace

TEST_CASE("a roster's error names file, line, trouble and mend", "[roster][bad-input]") {
  struct Case {
    std::string text;
    std::string where;
    std::string says;
  };
  const std::string l = kLifter;  // two lines
  const Case c = GENERATE_COPY(values<Case>({
      {"", "club.toml: ", "[[lifter]]"},
      {"club = Northgate\n" + l, "club.toml:1", "TOML"},
      {"club = \"a\"\nclub = \"b\"\n" + l, "club.toml:2", "TOML"},
      {l + "[[lifter]]\nname = \"imre  castellan\"\n", "club.toml:4", "two lifters"},
      {l + "nmae = \"x\"\n", "club.toml:3", "Perhaps 'name' is meant"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbest_singel_kg = 200\n",
       "club.toml:5",
       "Perhaps 'best_single_kg' is meant"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbest_single = 200\n",
       "club.toml:5",
       "Write the unit too: best_single_kg or best_single_lb"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbest_single_kg = 200\nbest_single_lb = 440\n",
       "club.toml:6",
       "both 'best_single_kg' and 'best_single_lb'"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbest_single_kg = \"200 kg\"\n",
       "club.toml:5",
       "not a number"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbest_single_kg = 20000\n",
       "club.toml:5",
       "out of range"},
      {l + "[[lifter.lift]]\nbest_single_kg = 200\n", "club.toml:3", "has no 'lift'"},
      {l + "[[lifter.lift]]\nlift = 5\n", "club.toml:4", "not a text"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nbar = \"cambred bar\"\n[[bar]]\n"
           "name = \"cambered bar\"\nmass_kg = 25\n",
       "club.toml:5",
       "Perhaps 'cambered bar' is meant"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\n[[lifter.lift]]\nlift = \"Squat\"\n",
       "club.toml:6",
       "stands at line 3 already"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nlockout_height_cm = 90\nbottom_height_cm = 140\n",
       "club.toml:3",
       "not above its bottom"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nlockout_height_cm = 14400\n",
       "club.toml:5",
       "out of range"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nexpected = [{load_kg = 100, velocity_mps = 0.5}, "
           "{load_kg = 120, velocity_mps = 0.6}]\n",
       "club.toml:5",
       "no faster"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nexpected = [{load_kg = 100}]\n",
       "club.toml:5",
       "velocity_mps"},
      {l + "[[lifter.lift]]\nlift = \"squat\"\nzone_mps = [0.9, 0.7]\n", "club.toml:5", "band"},
      {"unit = \"stone\"\n" + l, "club.toml:1", "\"kg\" or \"lb\""},
      {l + "[[bar]]\nname = \"straight bar\"\n", "club.toml:3", "mass_kg"},
      {l + "[[bar]]\nname = \"a\"\nmass_kg = 20\n[[bar]]\nname = \"A\"\nmass_kg = 25\n",
       "club.toml:7",
       "twice"},
      {l + "[bar]\nname = \"a\"\n", "club.toml:3", "[[bar]]"},
      {l + "[[disc]]\nmass_kg = 25\n", "club.toml:3", "count"},
      {l + "[[disc]]\nmass_kg = 25\ncount = 2.5\n", "club.toml:5", "whole number"},
      {l + "[[chain]]\nname = \"c\"\nlength_m = 1\n", "club.toml:3", "mass_kg_per_m"},
      {l + "[[band]]\nname = \"b\"\nstretched_cm = [100, 150]\ntension_kg = [0]\n",
       "club.toml:3",
       "2 lengths and 1 tensions"},
      {l + "[[band]]\nname = \"b\"\nstretched_cm = [150, 100]\ntension_kg = [0, 10]\n",
       "club.toml:3",
       "do not rise"},
      {l + "[thresholds]\nslowed_loss = 0.2\n", "club.toml:4", "slowed_loss_percent"},
      {l + "[thresholds]\nslowed_loss_percent = 0.2\n", "club.toml:4", "out of range"},
      {l + "[extra]\na = 1\n", "club.toml:3", "'extra' is not a key"},
  }));
  CAPTURE(c.text);
  CHECK_THAT(message_of(c.text), Catch::StartsWith(c.where) && Contains(c.says));
}

TEST_CASE("a roster file that is none is unreadable", "[roster][bad-input]") {
  CHECK_THROWS_WITH(read_roster("no such roster.toml"), Contains("no such roster"));
  CHECK_THROWS_WITH(read_roster(KINETICS_SOURCE_DIR), Contains("folder"));
}

TEST_CASE("a letter beyond A to Z outside quotes is told with its line", "[roster][bad-input]") {
  const std::string good =
      "# Größe\n[[lifter]]\nname = \"Jörg \\\"J\\\" Æ\"  # ø\n[[lifter.lift]]\nlift = "
      "'développé'\n";
  CHECK(parse_roster(good, "r.toml").lifters.size() == 1);
  CHECK(parse_roster("\xEF\xBB\xBF" + good, "r.toml").lifters.size() == 1);
  CHECK(parse_roster("club = \"\"\"\nÖ \"\" Ö\n\"\"\"\n" + good, "r.toml").lifters.size() == 1);
  for (const char* line : {"Öl = 3", "name = Öm", "ɰtexpected", "[Ö]"}) {
    CAPTURE(line);
    CHECK_THAT(message_of(good + line + "\n"), Contains(":6: ") && Contains("outside quotes"));
  }
}
