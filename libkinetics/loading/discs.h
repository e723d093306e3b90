#pragma once

#include <string>
#include <vector>

#include "libkinetics/loading/mass.h"

/// Discs on one side of a bar, in kilograms, pounds or both.

namespace kinetics {

/// Discs of one mass on one side.
struct Disc {
  Mass mass = {};
  int count = 1;
  bool operator==(const Disc&) const = default;
};

/// One side of the bar, from the inside out.
using DiscStack = std::vector<Disc>;

/// Mass of one side. Exact in pounds too.
[[nodiscard]] double stack_kg(const DiscStack& side);

/// One standard error of all discs on both sides, each within a share of its mass (competition
/// discs: 0.0025, IPF technical rules; gym iron: 0.03 is common practice, no source), all errors as
/// likely.
[[nodiscard]] double discs_sigma_kg(const DiscStack& side, double tolerance_share);

/// "2 × 25 kg + 10 kg", "4 × 45 lb", or "no discs".
[[nodiscard]] std::string describe(const DiscStack& side);

/// Throws Error{kUsage} naming the disc unless each mass is above zero and each count at least one.
void check_discs(const DiscStack& side, const std::string& where = {});

}  // namespace kinetics
