// The roster reader against arbitrary bytes: it returns a roster that keeps its promises or throws
// Error. Built twice: with libFuzzer (option KINETICS_FUZZ, clang), and into the roster tests,
// which run it over the seeds in tests/data/rosters and mutated copies of them.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "libkinetics/roster/roster.h"
#include "tests/fuzz/promise.h"

namespace {

using namespace kinetics;
using kinetics_test::require;
using kinetics_test::require_helpful;

void require_positive(std::optional<double> value, const char* promise) {
  require(!value || (std::isfinite(*value) && *value > 0.0), promise);
}

void check(const Gear& gear) {
  for (const BarGear& bar : gear.bars) {
    require(!bar.name.empty(), "a bar has a name");
    require_positive(bar.mass_kg, "and a mass");
    require_positive(bar.limit_kg, "a limit is a load");
    require(std::isfinite(bar.sleeves_raised_m), "sleeves are somewhere");
  }
  for (const DiscGear& disc : gear.discs) require_positive(disc.mass_kg, "a disc has a mass");
  for (const ChainGear& piece : gear.chains) {
    require(!piece.chain.name.empty(), "a chain has a name");
    require_positive(piece.chain.mass_kg_per_m, "and a mass");
    require_positive(piece.chain.free_length_m, "and a length");
  }
  for (const BandGear& piece : gear.bands) require(!piece.band.name.empty(), "a band has a name");
  for (const Rack& rack : gear.racks) require_positive(rack.limit_kg, "a rack has a limit");
}

void check(const LifterLift& lift) {
  require(!lift.lift.empty() && lift.line > 0, "a lift has a name and a line");
  require_positive(lift.box_height_m, "a box has a height");
  require_positive(lift.best_single_kg, "a best single is a load");
  require_positive(lift.lockout_height_m, "the lockout is above the floor");
  require_positive(lift.bottom_height_m, "the bottom is above the floor");
  double last_kg = 0.0;
  for (const ExpectedVelocity& e : lift.expected) {
    require(e.load_kg >= last_kg, "expectations stand by load");
    require_positive(e.velocity_mps, "an expectation is a velocity");
    require(std::isfinite(e.sigma_mps) && e.sigma_mps >= 0.0, "and how sure it is");
    last_kg = e.load_kg;
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    const Roster roster = parse_roster({reinterpret_cast<const char*>(data), size}, "club.toml");
    check(roster.gear);
    for (const Lifter& lifter : roster.lifters) {
      require(!lifter.name.empty(), "a lifter has a name");
      for (const LifterLift& lift : lifter.lifts) check(lift);
    }
  } catch (const Error& error) {
    require_helpful(error, "club.toml");
  }
  return 0;
}
