// What a coach is told of a load that can be, but should be looked at twice.
#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/check_load.h"

using Catch::Matchers::Contains;

namespace kinetics {
namespace {

BarLoad chained(double free_length_m, double leader_m) {
  BarLoad load{.bar_kg = 20.0, .discs_kg = 80.0};
  load.chains.push_back({.name = "c",
                         .mass_kg_per_m = 3.8,
                         .free_length_m = free_length_m,
                         .leader_length_m = leader_m});
  return load;
}

BarLoad banded(double anchor_height_m, double n_per_m) {
  BarLoad load{.bar_kg = 20.0, .discs_kg = 80.0};
  load.bands.push_back({.name = "b",
                        .tension = {.polynomial_n = {0.0, n_per_m}, .rest_length_m = 0.4},
                        .anchor_height_m = anchor_height_m});
  return load;
}

std::string only_note(const Notes& notes) {
  REQUIRE(notes.size() == 1);
  CHECK(notes[0].kind == NoteKind::kCaution);
  return notes[0].text;
}

}  // namespace

TEST_CASE("a load within its limits is passed in silence", "[loading]") {
  CHECK(load_notes(chained(1.6, 0.0), 0.5, 1.1, {.rack_kg = 400.0}).empty());
  CHECK(load_notes(banded(0.0, 200.0), 0.5, 1.1, {.rack_kg = 400.0}).empty());
}

TEST_CASE("more at the top than the rack holds is said, in both units", "[loading]") {
  // 100 kg and 2 × 3.8 × 1.1 m = 8.36 kg of chain.
  const std::string note = only_note(load_notes(chained(1.6, 0.0), 0.5, 1.1, {.rack_kg = 105.0}));
  CHECK_THAT(note,
             Contains("top") && Contains("108.4 kg") && Contains("238.9 lb") && Contains("105 kg"));
}

TEST_CASE("a load that may pass the rack's limit within its uncertainty is said", "[loading]") {
  BarLoad load = chained(1.6, 0.0);
  load.chains[0].mass_sigma_kg_per_m = 0.2;  // 0.44 kg at the top
  CHECK(load_notes(load, 0.5, 1.1, {.rack_kg = 109.3}).empty());
  CHECK_THAT(only_note(load_notes(load, 0.5, 1.1, {.rack_kg = 109.0})), Contains("may be"));
}

TEST_CASE("reverse bands load the rack most at the top of the lift", "[loading]") {
  const BarLoad load = banded(1.6, 400.0);  // at 1.1 m: 0.1 m of stretch, at 0.5 m: 0.7 m
  CHECK(load_at(load, 1.1).weight_n > load_at(load, 0.5).weight_n);
  CHECK_THAT(only_note(load_notes(load, 0.5, 1.1, {.rack_kg = 80.0})), Contains("top"));
}

TEST_CASE("bands that hold up more than the bar weighs are said", "[loading]") {
  CHECK_THAT(only_note(load_notes(banded(1.6, 1500.0), 0.5, 1.1)), Contains("fly up"));
}

TEST_CASE("a band stretched over its limit or its readings is said", "[loading]") {
  BarLoad load = banded(0.0, 200.0);
  load.bands[0].tension.limit_length_m = 1.05;
  CHECK_THAT(only_note(load_notes(load, 0.5, 1.1)),
             Contains("Band 1 (b)") && Contains("1.10 m") && Contains("1.05 m"));
  load.bands[0].tension.limit_length_m = 1.2;
  load.bands[0].tension.known_to_m = 0.9;
  CHECK_THAT(only_note(load_notes(load, 0.5, 1.1)), Contains("measured to 0.90 m"));
  load.bands[0].tension.known_to_m = 1.2;
  load.bands[0].tension.known_from_m = 0.6;
  CHECK_THAT(only_note(load_notes(load, 0.5, 1.1)), Contains("measured from 0.60 m"));
}

TEST_CASE("a band slack at the bottom, or all the way, is said", "[loading]") {
  CHECK_THAT(only_note(load_notes(banded(0.0, 200.0), 0.3, 1.1)), Contains("slack at the bottom"));
  CHECK_THAT(only_note(load_notes(banded(0.9, 200.0), 0.7, 1.1)), Contains("slack all the way"));
}

TEST_CASE("reverse bands that go slack before the top are as wanted", "[loading]") {
  const BarLoad load = banded(1.4, 400.0);
  REQUIRE(load_at(load, 1.1).weight_slope_n_per_m == 0.0);
  REQUIRE(load_at(load, 0.5).weight_slope_n_per_m > 0.0);
  CHECK(load_notes(load, 0.5, 1.1).empty());
}

TEST_CASE("chain that never leaves the floor, or never reaches it, is said", "[loading]") {
  CHECK_THAT(only_note(load_notes(chained(1.0, 1.2), 0.5, 1.1)),
             Contains("never leaves the floor"));
  CHECK_THAT(only_note(load_notes(chained(0.3, 0.1), 0.5, 1.1)),
             Contains("swings") && Contains("0.10 m lower"));
}

TEST_CASE("whoever hangs a load reads the cautions that go with it", "[loading]") {
  CHECK(handling_cautions(BarLoad{}).size() == 2);
  CHECK_THAT(handling_cautions(BarLoad{}).front().text, Contains("collar"));
  CHECK_THAT(handling_cautions(chained(1.0, 0.0)).back().text, Contains("rules"));
  CHECK_THAT(handling_cautions(chained(1.0, 0.0))[1].text, Contains("Chain"));
  CHECK_THAT(handling_cautions(banded(0.0, 200.0))[1].text, Contains("Bands"));
}

TEST_CASE("a lift that does not rise is refused", "[loading][bad-input]") {
  CHECK_THROWS_AS(load_notes(chained(1.0, 0.0), 1.1, 0.5), Error);
  CHECK_THROWS_AS(load_notes(chained(1.0, 0.0), std::nan(""), 0.5), Error);
}

}  // namespace kinetics
