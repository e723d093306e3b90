#include "libkinetics/tracking/disc_behind.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include <Eigen/Core>

namespace kinetics {
namespace {

/// Sizes and places that are tried, in radii of the followed disc.
constexpr double kLeastSize = 1.06;
constexpr double kMostSize = 1.60;
constexpr double kFarthest = 0.24;
constexpr double kPlaceStep = 0.02;
/// Nearer than this to the disc's own rim, what shows may be that.
constexpr double kClearOfRim = 1.04;
/// Votes wanted, as a share of all directions, and directions in which most places show the rim.
/// Clips without a disc behind gave up to 0.16.
constexpr double kLeastVotes = 0.33;
constexpr int kFewestClear = 9;
constexpr double kClear = 0.5;
/// So far off the middle it is no ring on the face.
constexpr double kOffMiddle = 0.06;
/// It hangs farther off by a disc's thickness: looks smaller by 3 to 10 cm in 2 to 5 m. To that
/// comes half a bin.
constexpr double kFarther = 1.015;
constexpr double kFactorSigma = 0.012;

struct Circle {
  double size = 1.0;
  Eigen::Vector2d at = Eigen::Vector2d::Zero();
};

struct Votes {
  double share = 0.0;
  int clear = 0;
};

/// Unit vectors to the sectors' middles.
using Directions = std::array<Eigen::Vector2d, RimCensus::kSectors>;

Directions directions_of_sectors() {
  Directions directions;
  for (int sector = 0; sector < RimCensus::kSectors; ++sector) {
    const double phi = 2.0 * std::numbers::pi * (sector + 0.5) / RimCensus::kSectors;
    directions[static_cast<std::size_t>(sector)] = {std::cos(phi), std::sin(phi)};
  }
  return directions;
}

Votes votes_for(const Circle& circle, const RimCensus& census, const Directions& directions) {
  Votes votes;
  for (int sector = 0; sector < RimCensus::kSectors; ++sector) {
    const Eigen::Vector2d& towards = directions[static_cast<std::size_t>(sector)];
    const double factor = circle.size + circle.at.x() * towards.x() + circle.at.y() * towards.y();
    if (factor < kClearOfRim) continue;
    const auto bin = std::lround((factor - RimCensus::kFirst) / RimCensus::kStep);
    if (bin >= RimCensus::kCount) continue;
    const auto share = static_cast<double>(census.at(sector, static_cast<std::size_t>(bin)));
    votes.share += share / RimCensus::kSectors;
    votes.clear += share > kClear ? 1 : 0;
  }
  return votes;
}

}  // namespace

std::optional<DiscBehind> disc_behind(const RimCensus& census) {
  if (census.by_sector.empty()) return std::nullopt;
  const Directions directions = directions_of_sectors();
  Circle best;
  Votes most;
  const int sizes = static_cast<int>(std::lround((kMostSize - kLeastSize) / RimCensus::kStep));
  const int places = static_cast<int>(std::lround(kFarthest / kPlaceStep));
  for (int s = 0; s <= sizes; ++s) {
    for (int x = -places; x <= places; ++x) {
      for (int y = -places; y <= places; ++y) {
        const Circle circle{kLeastSize + RimCensus::kStep * s, {kPlaceStep * x, kPlaceStep * y}};
        const Votes votes = votes_for(circle, census, directions);
        if (votes.share <= most.share) continue;
        most = votes;
        best = circle;
      }
    }
  }
  if (most.share < kLeastVotes || most.clear < kFewestClear || best.at.norm() < kOffMiddle)
    return std::nullopt;
  return DiscBehind{.factor = kFarther * best.size, .sigma_rel = kFactorSigma};
}

}  // namespace kinetics
