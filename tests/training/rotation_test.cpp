// Special exercises by turns: counted by hand on the calendar.
#include "libkinetics/training/rotation.h"

#include <catch2/catch.hpp>

#include "tests/training/made_history.h"

using namespace kinetics;
using kinetics_test::day;

TEST_CASE("exercises change every three weeks and come round again", "[training]") {
  const SpecialPlan plan{.weekday = 0,
                         .exercises = {"good morning", "rack pull"},
                         .every_weeks = 3,
                         .first_day = day("2031-12-17"),
                         .line = 0};
  const auto sessions = special_sessions(plan, day("2031-12-01"), day("2032-03-01"));
  REQUIRE(sessions.size() == 11);  // 22 Dec to 1 Mar, over the year's end and a leap day
  CHECK(in_iso(sessions.front().day) == "2031-12-22");
  CHECK(in_iso(sessions.back().day) == "2032-03-01");
  CHECK(sessions[2].exercise == "good morning");
  CHECK(sessions[2].turn_week == 3);
  CHECK(sessions[3].exercise == "rack pull");
  CHECK(sessions[6].exercise == "good morning");
  // Looked at from later on the turns are the same.
  const auto later = special_sessions(plan, day("2032-02-01"), day("2032-02-08"));
  REQUIRE(later.size() == 1);
  CHECK(later[0].exercise == sessions[6].exercise);
  CHECK(rotation_notes(plan).empty());
}

TEST_CASE("turns other than two or three weeks are remarked on", "[training]") {
  const SpecialPlan plan{.weekday = 0,
                         .exercises = {"good morning"},
                         .every_weeks = 5,
                         .first_day = std::nullopt,
                         .line = 0};
  CHECK(rotation_notes(plan).size() == 2);
}
