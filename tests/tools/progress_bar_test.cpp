// The progress line: what it says, and that it never reaches the terminal's last column, where it
// would wrap and could not be wiped.
#include "tools/kinetics/progress_bar.h"

#include <string>

#include <catch2/catch.hpp>

using Catch::Contains;
using kinetics::cli::progress_line;

TEST_CASE("the line tells the share and the time left", "[tools]") {
  // A quarter took 10 s, so the rest takes 30 s.
  CHECK_THAT(progress_line("Following the bar", 0.25, 10.0, 80),
             Contains(" 25 %") && Contains("about 30 s left"));
  CHECK_THAT(progress_line("Following the bar", 0.1, 60.0, 80), Contains("about 9 min 00 s left"));
  // The first second says nothing reliable about the rest.
  CHECK_THAT(progress_line("Following the bar", 0.01, 0.2, 80), !Contains("left"));
}

TEST_CASE("an input of unknown length shows the time so far", "[tools]") {
  CHECK_THAT(progress_line("Following the bar", -1.0, 12.0, 80), Contains("12 s so far"));
}

TEST_CASE("the line fits any terminal", "[tools]") {
  const int columns = GENERATE(0, 1, 10, 20, 40, 79, 80, 200);
  const double fraction = GENERATE(-1.0, 0.0, 0.5, 1.0, 1.5);
  CAPTURE(columns, fraction);
  const auto width = progress_line("Following the bar", fraction, 4000.0, columns).size();
  CHECK(width <= static_cast<std::size_t>(std::max(columns - 1, 0)));
}
