// Loads in words: read by a crew that hangs them.
#include "libkinetics/loading/describe_load.h"

#include <catch2/catch.hpp>

namespace kinetics {

TEST_CASE("the crew reads what to hang in one line", "[loading]") {
  BarLoad load{.bar_kg = 20.0, .collars_kg = 5.0};
  hang_discs(load, {{.mass = Mass::kilograms(25), .count = 2}, {.mass = Mass::kilograms(1.25)}});
  CHECK(describe(load) == "20 kg bar, 2 × 25 kg + 1.25 kg a side, 5 kg collars: 127.5 kg");

  load.chains.push_back({.name = "13 mm",
                         .mass_kg_per_m = 3.8,
                         .free_length_m = 1.6,
                         .doubled = true,
                         .leader_length_m = 0.4});
  load.bands.push_back({.name = "light", .anchor_height_m = 0.1, .doubled = true});
  CHECK(describe(load) ==
        "20 kg bar, 2 × 25 kg + 1.25 kg a side, 5 kg collars: 127.5 kg; 2 strands of chain "
        "(13 mm), 1.60 m doubled on 0.40 m leaders; 2 bands (light) folded, anchored 0.10 m up");
}

TEST_CASE("pounds are shown as pounds", "[loading]") {
  BarLoad load{.bar_kg = Mass::pounds(45).kg(), .bar_name = "camber"};
  hang_discs(load, {{.mass = Mass::pounds(45), .count = 4}});
  CHECK(describe(load, MassUnit::kPound) == "45 lb bar (camber), 4 × 45 lb a side: 405 lb");
  load.discs_a_side.clear();
  CHECK(describe(load, MassUnit::kPound) == "45 lb bar (camber), 180 lb of discs a side: 405 lb");
}

TEST_CASE("bottom, mean and top are told in one line", "[loading]") {
  BarLoad load{.bar_kg = 100.0};
  load.chains.push_back({.name = "c", .mass_kg_per_m = 3.8, .free_length_m = 0.9});
  CHECK(describe(load_span(load, 0.45, 1.05)) ==
        "103.4 kg at the bottom, 105.6 kg mean, 106.8 kg at the top");
  CHECK(describe(load_span(load, 0.45, 1.05), MassUnit::kPound) ==
        "228 lb at the bottom, 232.7 lb mean, 235.5 lb at the top");
  CHECK(describe(LoadSpan{}) == "0 kg at the bottom, 0 kg mean, 0 kg at the top");
}

}  // namespace kinetics
