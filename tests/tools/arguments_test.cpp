// What is typed becomes a number in SI, or an error that names the option. One inch is 25.4 mm
// exactly (International yard and pound agreement, 1959).
#include "tools/kinetics/arguments.h"

#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using namespace kinetics;
using namespace kinetics::cli;
using Catch::Contains;

TEST_CASE("a length may be written with its unit", "[tools]") {
  const auto [typed, length_m] = GENERATE(table<std::string, double>({{"450", 0.450},
                                                                      {"450mm", 0.450},
                                                                      {"45cm", 0.450},
                                                                      {"0.45m", 0.450},
                                                                      {"+0.45m", 0.450},
                                                                      {"17.7in", 0.44958}}));
  CAPTURE(typed);
  CHECK(parse_length_m("--disc-diameter", typed, kDiscDiameterM) ==
        Approx(length_m).epsilon(1e-12));
}

TEST_CASE("a length that makes no sense is refused by name", "[tools][bad-input]") {
  const std::string typed = GENERATE("",
                                     "-3",
                                     "0",
                                     "nan",
                                     "inf",
                                     "1e9",
                                     "0.45",
                                     "450 mm",
                                     "450km",
                                     "450mmm",
                                     "mm",
                                     "4,5",
                                     "0x1c2");
  CAPTURE(typed);
  CHECK_THROWS_WITH(parse_length_m("--disc-diameter", typed, kDiscDiameterM),
                    Contains("--disc-diameter") && Contains("millimetres"));
}

TEST_CASE("a number outside its range or followed by letters is refused", "[tools][bad-input]") {
  CHECK(parse_number("--threshold", "0.02", "m/s", kThresholdMps) == 0.02);
  const std::string typed = GENERATE("", "x", "0.02m/s", "-0.02", "nan", "1e400", "0.02 ", " 0.02");
  CAPTURE(typed);
  CHECK_THROWS_WITH(parse_number("--threshold", typed, "m/s", kThresholdMps),
                    Contains("--threshold") && Contains("from 0.001 to 0.5 m/s"));
}

TEST_CASE("a seed is a place and a time", "[tools]") {
  const DiscSeed seed = parse_seed("--seed", "960,540.5,2.25");
  CHECK(seed.at == PixelPoint{960.0, 540.5});
  CHECK(seed.t_s == 2.25);
  const std::string typed =
      GENERATE("", "1,2", "1,2,3,4", "a,b,c", "1,2,", "-1,2,3", "1,2,-3", "1;2;3");
  CAPTURE(typed);
  CHECK_THROWS_WITH(parse_seed("--seed", typed), Contains("--seed"));
}
