#include "samples/render/shapes.h"

#include <algorithm>
#include <numbers>

namespace render {

std::vector<GymPoint> circle(GymPoint centre, double radius_m, int corners) {
  // Corners a little outside, so that the polygon's area is the circle's.
  const double step = 2.0 * std::numbers::pi / corners;
  const double r = radius_m * std::sqrt(step / std::sin(step));
  std::vector<GymPoint> out;
  for (int k = 0; k < corners; ++k)
    out.push_back({centre.x + r * std::cos(k * step), centre.y + r * std::sin(k * step), centre.z});
  return out;
}

std::vector<GymPoint> ring_piece(
    GymPoint centre, double inner_m, double outer_m, double from_rad, double to_rad) {
  const int n = std::max(3, static_cast<int>(std::ceil((to_rad - from_rad) / 0.12)));
  std::vector<GymPoint> out;
  for (int k = 0; k <= n; ++k) {
    const double a = from_rad + (to_rad - from_rad) * k / n;
    out.push_back({centre.x + outer_m * std::cos(a), centre.y + outer_m * std::sin(a), centre.z});
  }
  for (int k = n; k >= 0; --k) {
    const double a = from_rad + (to_rad - from_rad) * k / n;
    out.push_back({centre.x + inner_m * std::cos(a), centre.y + inner_m * std::sin(a), centre.z});
  }
  return out;
}

std::vector<GymPoint> limb(GymPoint a, GymPoint b, double radius_a, double radius_b) {
  const double along = std::atan2(b.y - a.y, b.x - a.x);
  constexpr int kRound = 10;
  std::vector<GymPoint> out;
  for (int k = 0; k <= kRound; ++k) {
    const double t = along + std::numbers::pi * (0.5 + double(k) / kRound);
    out.push_back({a.x + radius_a * std::cos(t), a.y + radius_a * std::sin(t), a.z});
  }
  for (int k = 0; k <= kRound; ++k) {
    const double t = along + std::numbers::pi * (-0.5 + double(k) / kRound);
    out.push_back({b.x + radius_b * std::cos(t), b.y + radius_b * std::sin(t), a.z});
  }
  return out;
}

std::vector<GymPoint> box(double x0, double y0, double x1, double y1, double z) {
  return {{x0, y0, z}, {x1, y0, z}, {x1, y1, z}, {x0, y1, z}};
}

GymPoint joint(GymPoint a, GymPoint c, double upper_m, double lower_m, bool forward) {
  const double dx = c.x - a.x, dy = c.y - a.y;
  const double d = std::clamp(std::hypot(dx, dy), 0.05, upper_m + lower_m - 1e-4);
  const double along = (upper_m * upper_m - lower_m * lower_m + d * d) / (2.0 * d);
  const double off = std::sqrt(std::max(0.0, upper_m * upper_m - along * along));
  const double ux = dx / std::hypot(dx, dy), uy = dy / std::hypot(dx, dy);
  // The two solutions lie on either side of the line; take the one farther along +x or −x.
  const double side = (uy > 0.0) == forward ? 1.0 : -1.0;
  return {a.x + along * ux + side * off * uy, a.y + along * uy - side * off * ux, a.z};
}

}  // namespace render
