#include "libkinetics/loading/discs.h"

#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

// No disc is heavier than that, and no side takes more of one kind.
constexpr double kHeaviestDisc = 100.0;
constexpr int kMostDiscs = 40;

}  // namespace

double stack_kg(const DiscStack& side) {
  double kg = 0.0;
  for (const Disc& disc : side) kg += disc.count * disc.mass.kg();
  return kg;
}

double discs_sigma_kg(const DiscStack& side, double tolerance_share) {
  double squares = 0.0;
  for (const Disc& disc : side) {
    const double limit_kg = tolerance_share * disc.mass.kg();
    squares += 2.0 * disc.count * limit_kg * limit_kg / 3.0;
  }
  return std::sqrt(squares);
}

std::string describe(const DiscStack& side) {
  std::string text;
  for (const Disc& disc : side) {
    if (!text.empty()) text += " + ";
    if (disc.count != 1) text += fmt::format("{} × ", disc.count);
    text += mass_text(disc.mass);
  }
  return text.empty() ? "no discs" : text;
}

void check_discs(const DiscStack& side, const std::string& where) {
  for (std::size_t i = 0; i < side.size(); ++i) {
    const Disc& disc = side[i];
    const std::string item = fmt::format("{}{}disc {}", where, where.empty() ? "" : ", ", i + 1);
    if (!(disc.mass.kg() > 0.0) || !(disc.mass.kg() <= kHeaviestDisc)) {
      throw Error(ErrorCode::kUsage,
                  item,
                  fmt::format("a mass of {} is not a disc's", mass_text(disc.mass)),
                  "Give what is stamped on it, in kg or lb");
    }
    if (disc.count < 1 || disc.count > kMostDiscs) {
      throw Error(
          ErrorCode::kUsage,
          item,
          fmt::format("{} discs of {} on one side cannot be", disc.count, mass_text(disc.mass)),
          fmt::format("Give a count from 1 to {}", kMostDiscs));
    }
  }
}

}  // namespace kinetics
