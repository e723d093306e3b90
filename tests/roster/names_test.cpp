// Names as people type them. Edit distances of the examples are counted by hand (Damerau 1964).
#include "libkinetics/roster/names.h"

#include <string>
#include <vector>

#include <catch2/catch.hpp>

using namespace kinetics;

TEST_CASE("case, spaces, hyphens and underscores do not tell names apart", "[roster]") {
  CHECK(folded("  Box   Squat ") == "box squat");
  CHECK(folded("box-squat") == "box squat");
  CHECK(folded("BOX_SQUAT") == "box squat");
  CHECK(folded(" - ").empty());
  CHECK(same_name("Odalys  Brandt", "odalys brandt"));
  CHECK_FALSE(same_name("box squat", "boxsquat"));
}

TEST_CASE("letters beyond ASCII are kept as they are", "[roster]") {
  CHECK(folded("Jürgen Ōta") == "jürgen Ōta");
}

TEST_CASE("a slip of the finger finds the name that was meant", "[roster]") {
  const std::vector<std::string> known{"box squat", "bench press", "deadlift"};
  CHECK(nearest_name("box sqaut", known) == "box squat");  // two letters swapped
  CHECK(nearest_name("boxsquat", known) == "box squat");   // one left out
  CHECK(nearest_name("dedlift", known) == "deadlift");     // one left out
  CHECK(nearest_name("bench  presss", known) == "bench press");
  CHECK_FALSE(nearest_name("row", known).has_value());
  CHECK_FALSE(nearest_name("", known).has_value());
  CHECK_FALSE(nearest_name(std::string(5000, 'x'), known).has_value());
}

TEST_CASE("when nothing is near, what there is is listed", "[roster]") {
  CHECK(meant_or_known("dedlift", {"deadlift"}, "Add it") == "Perhaps 'deadlift' is meant");
  CHECK(meant_or_known("row", {"squat", "bench"}, "Add it") == "Known are: squat, bench");
  CHECK(meant_or_known("row", {}, "Add it") == "Add it");
}
