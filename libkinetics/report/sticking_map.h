#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/rep.h"

/// Where one lifter's bar slows, and how another bar, box or stance moves that place.
///
///     StickingMap map{.lifter = "Ada Example", .lift = "Box squat"};
///     map.groups.push_back({.name = "safety bar", .detail = "12 Nov, 142 kg"});
///     for (const Rep& rep : session.reps) {
///       if (auto rise = map_rise(session.motion, rep)) map.groups.back().rises.push_back(*rise);
///     }
///     std::string svg = to_svg(map);

namespace kinetics {

/// One rise. Heights are above the bottom of the rise.
struct MapRise {
  struct Point {
    double height_m = 0.0;
    double velocity_mps = 0.0;
  };
  struct Sticking {
    double from_m = 0.0;  ///< of the first velocity peak
    double low_m = 0.0;   ///< of the slowest point
    double low_sigma_m = 0.0;
  };
  std::vector<Point> curve = {};
  double rom_m = 0.0;
  std::optional<Sticking> sticking = std::nullopt;
  bool within_noise = false;  ///< a dip was seen, but the measurement cannot tell it from noise
};

/// Rises of one kind: a bar, a box, a session.
struct MapGroup {
  std::string name;
  std::string detail;  ///< in small letters behind the name; may be empty
  std::vector<MapRise> rises;
  int left_out = 0;  ///< reps that were not measured or not full
};

struct StickingMap {
  std::string lifter;
  std::string lift;
  std::vector<MapGroup> groups;  ///< up to 8 are drawn; the first is what others are compared with
};

/// What the map shows of one rep. Empty when its rise was not measured.
[[nodiscard]] std::optional<MapRise> map_rise(const Motion& motion, const Rep& rep);

/// One page: above, each kind's middle velocity over height; below, every rise as a line with its
/// sticking region and slowest point, kind under kind over the same heights; then in words how each
/// kind's slowest point lies against the first one's. Self-contained SVG; colour is never alone:
/// kinds carry letters and line patterns.
[[nodiscard]] std::string to_svg(const StickingMap& map);

/// The same of several lifters and lifts, one below the other.
[[nodiscard]] std::string to_svg(const std::vector<StickingMap>& maps);

}  // namespace kinetics
