// Mass per metre of link chain against published tables.
//
// Values below are those of suppliers' tables quoting DIN 766, DIN 764 and DIN 5685-1 form A, and
// of the text of DIN 763:1990 (8 × 52: from memory). A second supplier's table of DIN 766 differs
// by up to 4.5 %. The formula's values were worked out apart from this code, in Python.
#include "libkinetics/loading/chain_table.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using Catch::Matchers::Contains;
using Catch::Matchers::WithinRel;

namespace kinetics {

TEST_CASE("sizes are found by standard and wire, with or without the pitch", "[loading]") {
  CHECK(find_chain_size("DIN 766 13x36").mass_kg_per_m == 3.80);
  CHECK(find_chain_size("din 766, 13 mm").mass_kg_per_m == 3.80);
  CHECK(find_chain_size("DIN766 - 8 x 24").mass_kg_per_m == 1.40);
  CHECK(find_chain_size("DIN 764 16").mass_kg_per_m == 5.3);
  CHECK(find_chain_size("DIN 763 6 × 42").mass_kg_per_m == 0.63);
  CHECK(find_chain_size("DIN 5685 10").mass_kg_per_m == 2.05);
  CHECK(find_chain_size("DIN 5685-1 10x40").mass_kg_per_m == 2.05);
  const Chain chain = chain_of_size("DIN 766 13", 1.6);
  CHECK(chain.name == "DIN 766 13x36");
  CHECK(chain.strands == 2);
  CHECK_THAT(chain.mass_sigma_kg_per_m, WithinRel(0.114, 1e-12));
}

TEST_CASE("an unknown size lists the known ones", "[loading][bad-input]") {
  for (const char* name : {"", "13", "DIN 766", "DIN 766 12", "DIN 766 13x45", "DIN 999 13"}) {
    CAPTURE(name);
    CHECK_THROWS_WITH(find_chain_size(name), Contains("DIN 766") && Contains("13x36"));
  }
}

TEST_CASE("another supplier's table of the short link chain agrees within its tolerance",
          "[loading]") {
  // Wire and kg/m as that table prints them for the sizes of DIN 766.
  const auto [wire_mm, kg_per_m] = GENERATE(table<int, double>(
      {{6, 0.80}, {7, 1.15}, {8, 1.40}, {10, 2.20}, {13, 3.90}, {14, 4.25}, {16, 5.80}}));
  CAPTURE(wire_mm);
  const Chain chain = chain_of_size("DIN 766 " + std::to_string(wire_mm), 1.0);
  CHECK(std::abs(chain.mass_kg_per_m - kg_per_m) <= 2.0 * chain.mass_sigma_kg_per_m);
}

TEST_CASE("a link's own shape gives its mass as the formula does", "[loading]") {
  const auto [d, t, b, kg_per_m] = GENERATE(table<double, double, double, double>({
      {6, 18.5, 7.2, 0.768667},
      {7, 22, 8.4, 1.037870},
      {8, 24, 9.6, 1.382557},
      {10, 28, 12, 2.226472},
      {13, 36, 15.6, 3.781392},
      {16, 45, 19.2, 5.688466},
      {10, 35, 14, 2.068012},
      {13, 45, 18, 3.505332},
      {16, 56, 22, 5.281240},
      {6, 42, 10.8, 0.608675},
      {8, 52, 14.4, 1.104620},
      {10, 65, 18, 1.725969},
  }));
  CAPTURE(d, t);
  CHECK_THAT(round_link_kg_per_m(d, t, b), WithinRel(kg_per_m, 1e-6));
}

TEST_CASE("every listed size weighs what its shape does, within 6 %", "[loading]") {
  for (const ChainSize& size : chain_sizes()) {
    CAPTURE(size.standard, size.wire_mm, size.pitch_mm);
    CHECK_THAT(round_link_kg_per_m(size.wire_mm, size.pitch_mm, size.inside_width_mm),
               WithinRel(size.mass_kg_per_m, 0.06));
  }
}

TEST_CASE("links that cannot be are refused", "[loading][bad-input]") {
  CHECK_THROWS_AS(round_link_kg_per_m(0, 36, 15), Error);
  CHECK_THROWS_AS(round_link_kg_per_m(13, 36, 12), Error);
  CHECK_THROWS_AS(round_link_kg_per_m(13, 15, 36), Error);
  CHECK_THROWS_AS(round_link_kg_per_m(std::nan(""), 36, 15), Error);
}

}  // namespace kinetics
