// A roster as a coach writes it becomes SI. One pound is 0.45359237 kg and one inch 25.4 mm exactly
// (International yard and pound agreement, 1959); standard gravity 9.80665 m/s² (3rd CGPM, 1901).
#include <fstream>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/roster/roster.h"

using namespace kinetics;

namespace {

constexpr const char* kWhole = R"(
club = "Northgate Barbell"
unit = "lb"

[thresholds]
slowed_loss_percent = 15
below_expected_mps = 0.05
zone_mps = [0.70, 0.95]
high_bottom_cm = 2.5
uneven_pause_s = 0.4

[[bar]]
name = "straight bar"
mass_lb = 45
limit_kg = 400
[[bar]]
name = "cambered bar"
mass_kg = 25
sleeves_raised_cm = -18

[collars]
mass_kg = 2.5
[[disc]]
mass_lb = 45
count = 8

[[chain]]
name = "long chain"
mass_lb_per_ft = 2
length_m = 1.6
doubled = true
leader_length_cm = 40
count = 4
[[band]]
name = "light band"
stretched_in = [40, 60]
tension_lb = [0, 30]
anchor_height_cm = 10
[[rack]]
name = "rack one"
limit_lb = 1000

[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "box squat"
bar = "Cambered Bar"
box_height_in = 15
best_single_lb = 405
best_single_mps = 0.26
lockout_height_cm = 126
bottom_height_m = 0.76
zone_mps = [0.65, 0.85]
expected = [
  { load_lb = 245, velocity_mps = 0.62 },
  { load_kg = 90, velocity_mps = 0.82, sigma_mps = 0.02 },
]
[[lifter.lift]]
lift = "deadlift"

[[lifter]]
name = "Imre Castellan"
)";

}  // namespace

TEST_CASE("every key of a roster arrives in SI", "[roster]") {
  const Roster roster = parse_roster(kWhole, "club.toml");
  CHECK(roster.club == "Northgate Barbell");
  CHECK(roster.unit == MassUnit::kPound);
  CHECK(roster.thresholds == Thresholds{.slowed_loss = 0.15,
                                        .below_expected_mps = 0.05,
                                        .zone = VelocityBand{0.70, 0.95},
                                        .high_bottom_m = 0.025,
                                        .uneven_pause_s = 0.4});
  const Gear& gear = roster.gear;
  REQUIRE(gear.bars.size() == 2);
  CHECK(gear.bars[0].mass_kg == Approx(45 * 0.45359237).epsilon(1e-12));
  CHECK(gear.bars[0].limit_kg == 400.0);
  CHECK(gear.bars[1].sleeves_raised_m == Approx(-0.18));
  CHECK(gear.collar_kg == 2.5);
  REQUIRE(gear.discs.size() == 1);
  CHECK(gear.discs[0].count == 8);
  REQUIRE(gear.chains.size() == 1);
  CHECK(gear.chains[0].chain.mass_kg_per_m == Approx(2 * 0.45359237 / 0.3048).epsilon(1e-12));
  CHECK(gear.chains[0].chain.doubled);
  CHECK(gear.chains[0].chain.leader_length_m == Approx(0.4));
  CHECK(gear.chains[0].count == 4);
  REQUIRE(gear.bands.size() == 1);
  const BandTension& tension = gear.bands[0].band.tension;
  REQUIRE(tension.length_m_tension_n.size() == 2);
  CHECK(tension.length_m_tension_n[1].first == Approx(60 * 0.0254).epsilon(1e-12));
  CHECK(tension.length_m_tension_n[1].second == Approx(30 * 4.4482216152605).epsilon(1e-12));
  CHECK(tension.rest_length_m == Approx(40 * 0.0254));
  REQUIRE(gear.racks.size() == 1);
  CHECK(gear.racks[0].limit_kg == Approx(453.59237));
}

TEST_CASE("lifters and their lifts arrive with what is expected of them", "[roster]") {
  const Roster roster = parse_roster(kWhole, "club.toml");
  REQUIRE(roster.lifters.size() == 2);
  REQUIRE(roster.lifters[0].lifts.size() == 2);
  const LifterLift& lift = roster.lifters[0].lifts[0];
  CHECK(lift.best_single_kg == Approx(183.70490985).epsilon(1e-12));
  CHECK(lift.best_single_mps == 0.26);
  CHECK(lift.best_single_sigma_mps == 0.03);  // documented default
  CHECK(lift.box_height_m == Approx(0.381));
  CHECK(lift.lockout_height_m == Approx(1.26));
  CHECK(lift.zone == VelocityBand{0.65, 0.85});
  REQUIRE(lift.expected.size() == 2);
  CHECK(lift.expected[0].load_kg == 90.0);  // sorted by load
  CHECK(lift.expected[0].sigma_mps == 0.02);
  CHECK(lift.expected[1].load_kg == Approx(111.13013065));
  const LifterLift& bare = roster.lifters[0].lifts[1];
  CHECK_FALSE(bare.best_single_kg.has_value());
  CHECK(bare.expected.empty());
  CHECK(roster.lifters[1].lifts.empty());
}

TEST_CASE("what is left out has the documented default, and no zone is made up", "[roster]") {
  const Roster roster = parse_roster("[[lifter]]\nname = \"Imre Castellan\"\n", "club.toml");
  CHECK(roster.thresholds == Thresholds{});
  CHECK(roster.thresholds.slowed_loss == 0.20);
  CHECK_FALSE(roster.thresholds.zone.has_value());
  CHECK(roster.unit == MassUnit::kKilogram);
  CHECK(roster.gear.bars.empty());
}

TEST_CASE("the example in the header is a roster", "[roster]") {
  std::ifstream header(std::string(KINETICS_SOURCE_DIR) + "/libkinetics/roster/roster.h");
  REQUIRE(header);
  std::string example;
  for (std::string line; std::getline(header, line);) {
    if (line.starts_with("namespace")) break;
    if (line.starts_with("///   ")) example += line.substr(6) + "\n";
  }
  const Roster roster = parse_roster(example, "roster.h");
  CHECK(roster.gear.chains.size() == 1);
  REQUIRE(roster.lifters.size() == 1);
  CHECK(roster.lifters[0].lifts[0].expected.size() == 2);
}
