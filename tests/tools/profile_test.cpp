// Profiles and zones as the coach asks for them, over a logbook filled by `logbook import` with
// sets on a known line: 1.6 m/s less 0.0075 m/s a kilogram.
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

const char* const kRoster = R"(club = "Northgate Barbell"
[[bar]]
name = "straight bar"
mass_kg = 20
[[disc]]
mass_kg = 20
count = 8
[[disc]]
mass_kg = 5
count = 4
[[disc]]
mass_kg = 2.5
count = 4
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "squat"
best_single_kg = 170
best_single_mps = 0.3
zone_mps = [0.6, 1.0]
)";

void fill(const Folder& folder) {
  spill(folder / "club.toml", kRoster);
  std::string csv = "date,lifter,lift,load_kg,set,rep,mean_velocity_mps,mean_velocity_sigma_mps\n";
  for (int i = 0; i < 6; ++i) {
    const double load = 70.0 + 15.0 * i;
    const double off = i % 2 == 0 ? 0.008 : -0.008;
    csv += fmt::format("2031-03-07,Odalys Brandt,squat,{},{},1,{:.4f},0.006\n",
                       load,
                       i + 1,
                       1.6 - 0.0075 * load + off);
  }
  spill(folder / "sets.csv", csv);
  const Outcome stored =
      run_kinetics(folder, "logbook import sets.csv --logbook book --roster club.toml");
  CAPTURE(stored.err);
  REQUIRE(stored.status == 0);
}

TEST_CASE("a lifter's profile comes out as table, drawing and data", "[tools]") {
  const Folder folder;
  fill(folder);
  const Outcome outcome = run_kinetics(folder,
                                       "profile 'odalys brandt' --logbook book --roster club.toml "
                                       "--plot p.svg --csv p.csv");
  CAPTURE(outcome.err);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("6 sets on 2031-03-07"));
  CHECK_THAT(outcome.out, Contains("Written: p.svg"));
  CHECK_THAT(slurp(folder / "p.svg"), Contains("</svg>"));
  CHECK(lines_in(slurp(folder / "p.csv")) == 7);
  const Outcome json =
      run_kinetics(folder, "profile --lift squat --logbook book --roster club.toml --json -");
  REQUIRE(json.status == 0);
  const auto profile = nlohmann::json::parse(json.out).at("profiles").at(0);
  CHECK(double(profile.at("line").at("intercept_mps")) == Approx(1.6).margin(0.03));
  CHECK(double(profile.at("line").at("slope_mps_per_kg")) == Approx(-0.0075).margin(0.0003));
}

TEST_CASE("a lifter's zone comes out in loads that can be hung", "[tools]") {
  const Folder folder;
  fill(folder);
  const Outcome outcome =
      run_kinetics(folder, "zone 'Odalys Brandt' --logbook book --roster club.toml --json z.json");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("Straight weight"));
  const auto zone = nlohmann::json::parse(slurp(folder / "z.json")).at("profiles").at(0).at("zone");
  CHECK(zone.at("state") == "fixed");
  // Power ends it below (0.388 of the load at rest, slower than 1.0 m/s), 0.6 m/s above.
  CHECK(double(zone.at("low").at("load_kg").at("value")) == Approx(82.8).margin(3.0));
  CHECK(double(zone.at("high").at("load_kg").at("value")) == Approx(130.5).margin(4.0));
  const Outcome heavier = run_kinetics(
      folder, "zone 'Odalys Brandt' --logbook book --roster club.toml --band 0.45,0.55 --power 80");
  CHECK_THAT(heavier.out, Contains("too light for this lifter's zone"));
}

TEST_CASE("what cannot be profiled is refused in one line", "[tools][bad-input]") {
  const Folder folder;
  fill(folder);
  check_refused(folder, "profile --logbook none", kUnreadable, "none");
  check_refused(folder,
                "profile 'Odalis Brandt' --logbook book",
                kBadUsage,
                "Perhaps 'Odalys Brandt' is meant");
  check_refused(folder, "profile 'Odalys Brandt' --bar rope --logbook book", kBadUsage, "squat");
  check_refused(folder, "profile --half-life=-3 --logbook book", kBadUsage, "--half-life");
  check_refused(folder, "profile --axis middle --logbook book", kBadUsage, "--axis");
  check_refused(folder, "zone --band 0.9 --logbook book", kBadUsage, "--band");
  check_refused(folder, "zone --power 30 --logbook book", kBadUsage, "--power");
  check_refused(folder, "zone --with '2 x chain' --logbook book", kBadUsage, "without a roster");
  check_refused(folder,
                "zone --with '2 x chain' --logbook book --roster club.toml",
                kBadUsage,
                "no chain or band");
  check_refused(folder,
                "profile --logbook book --roster club.toml --csv club.toml",
                kBadUsage,
                "never written to");
  check_refused(folder, "profile --logbook book --csv book/x.csv", kBadUsage, "within the logbook");
  check_refused(folder, "profile --logbook book --csv x --json x", kBadUsage, "already goes there");
  CHECK(slurp(folder / "club.toml") == kRoster);
}

}  // namespace
