// Loads that cannot be: each is refused by item, with the way to mend it.
#include "libkinetics/loading/check_load.h"

#include <cmath>
#include <functional>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using Catch::Matchers::Contains;

namespace kinetics {
namespace {

BarLoad good_load() {
  BarLoad load{.bar_kg = 20.0, .collars_kg = 5.0};
  hang_discs(load, {{.mass = Mass::kilograms(25), .count = 2}});
  load.chains.push_back({.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 1.6});
  load.chains.push_back({.name = "10 mm", .mass_kg_per_m = 2.2, .free_length_m = 1.2});
  load.bands.push_back({.name = "table",
                        .tension = {.length_m_tension_n = {{1.0, 0.0}, {1.5, 90.0}, {2.0, 150.0}},
                                    .rest_length_m = 1.0}});
  load.bands.push_back(
      {.name = "curve", .tension = {.polynomial_n = {0.0, 200.0, -20.0}, .rest_length_m = 1.0}});
  return load;
}

struct Bad {
  const char* name;
  std::function<void(BarLoad&)> spoil;
  std::vector<std::string> says;
};

const double kNan = std::nan("");

const std::vector<Bad> kBad = {
    {"negative bar", [](BarLoad& l) { l.bar_kg = -20; }, {"bar", "-20 kg"}},
    {"bar without number", [](BarLoad& l) { l.bar_kg = kNan; }, {"bar", "nan"}},
    {"discs do not add up", [](BarLoad& l) { l.discs_kg = 90; }, {"100.000", "90.000"}},
    {"negative collars", [](BarLoad& l) { l.collars_kg = -1; }, {"collars"}},
    {"load in grams", [](BarLoad& l) { l.bar_kg = 20000; }, {"20000 kg", "from 0 to 1000"}},
    {"gravity in feet", [](BarLoad& l) { l.gravity_mps2 = 32.2; }, {"gravity"}},
    {"chain without mass",
     [](BarLoad& l) { l.chains[1].mass_kg_per_m = 0; },
     {"chain 2 (10 mm)", "no mass", "Weigh"}},
    {"chain of negative mass",
     [](BarLoad& l) { l.chains[0].mass_kg_per_m = -3.8; },
     {"chain 1 (13 mm)", "-3.8"}},
    {"chain without number",
     [](BarLoad& l) { l.chains[0].free_length_m = kNan; },
     {"chain 1", "free length"}},
    {"chain in centimetres",
     [](BarLoad& l) { l.chains[0].free_length_m = 160; },
     {"chain 1", "160 m", "from 0 to 10"}},
    {"chain without length", [](BarLoad& l) { l.chains[0].free_length_m = 0; }, {"no length"}},
    {"no strands",
     [](BarLoad& l) { l.chains[0].strands = 0; },
     {"number of strands is 0", "both sides"}},
    {"leader in centimetres", [](BarLoad& l) { l.chains[0].leader_length_m = 40; }, {"leader"}},
    {"table out of order",
     [](BarLoad& l) {
       l.bands[0].tension.length_m_tension_n = {{1.0, 0}, {2.0, 150}, {1.5, 90}};
     },
     {"band 1 (table)", "row 3", "Sort"}},
    {"table with a length twice",
     [](BarLoad& l) {
       l.bands[0].tension.length_m_tension_n = {{1.0, 0}, {1.5, 90}, {1.5, 95}};
     },
     {"row 3", "1.5 m after 1.5 m"}},
    {"table that falls",
     [](BarLoad& l) {
       l.bands[0].tension.length_m_tension_n = {{1.0, 0}, {1.5, 90}, {2.0, 80}};
     },
     {"row 3", "80 N after 90 N"}},
    {"table of one row",
     [](BarLoad& l) {
       l.bands[0].tension = {.length_m_tension_n = {{1.5, 90}}};
     },
     {"single row"}},
    {"table with nan",
     [](BarLoad& l) { l.bands[0].tension.length_m_tension_n[1].second = kNan; },
     {"tension in row 2"}},
    {"tension while slack",
     [](BarLoad& l) { l.bands[0].tension.rest_length_m = 1.6; },
     {"row 2", "slack up to 1.6 m"}},
    {"polynomial that falls",
     [](BarLoad& l) {
       l.bands[1].tension.polynomial_n = {0, 200, -150};
     },
     {"band 2 (curve)", "falls"}},
    {"polynomial that is negative",
     [](BarLoad& l) {
       l.bands[1].tension.polynomial_n = {-50, 200};
     },
     {"negative at 1.00 m"}},
    {"polynomial of nan",
     [](BarLoad& l) { l.bands[1].tension.polynomial_n[1] = kNan; },
     {"coefficient"}},
    {"covariance of another size",
     [](BarLoad& l) {
       l.bands[1].tension.polynomial_covariance_n2 = {1, 0, 0, 1};
     },
     {"4 members for 3"}},
    {"table and polynomial",
     [](BarLoad& l) {
       l.bands[0].tension.polynomial_n = {0, 1};
     },
     {"both"}},
    {"no tension", [](BarLoad& l) { l.bands[0].tension = {}; }, {"how hard it pulls"}},
    {"no bands", [](BarLoad& l) { l.bands[0].count = 0; }, {"number of bands"}},
    {"anchor in centimetres",
     [](BarLoad& l) { l.bands[0].anchor_height_m = 240; },
     {"anchor's height", "240 m"}},
};

}  // namespace

TEST_CASE("a load that can be passes", "[loading]") {
  CHECK_NOTHROW(check_load(good_load()));
}

TEST_CASE("each load that cannot be is refused by item and mend", "[loading][bad-input]") {
  const std::size_t i = GENERATE(range(std::size_t{0}, kBad.size()));
  const Bad& bad = kBad[i];
  INFO(bad.name);
  BarLoad load = good_load();
  bad.spoil(load);
  try {
    check_load(load, "speedday.csv, line 4");
    FAIL("not refused");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUsage);
    CHECK_THAT(error.what(), Contains("speedday.csv, line 4"));
    CHECK_FALSE(error.mend().empty());
    for (const std::string& part : bad.says) CHECK_THAT(error.what(), Contains(part));
  }
}

TEST_CASE("a polynomial may fall beyond the readings behind it", "[loading]") {
  BarLoad load = good_load();
  load.bands[1].tension.polynomial_n = {0.0, 200.0, -150.0};
  load.bands[1].tension.known_to_m = 1.6;
  CHECK_NOTHROW(check_load(load));
}

}  // namespace kinetics
