#include "samples/render/camera.h"

#include <algorithm>
#include <numbers>

namespace render {
namespace {

constexpr double kRadPerDeg = std::numbers::pi / 180.0;
// Nothing nearer than this is projected: it would fold over through the lens.
constexpr double kNearestDepth_m = 0.05;

GymPoint cross(GymPoint a, GymPoint b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

GymPoint unit(GymPoint a) {
  return (1.0 / std::sqrt(dot(a, a))) * a;
}

// Square of the radius at which r (1 + k1 r² + k2 r⁴) stops growing.
double fold_radius_squared(double k1, double k2) {
  constexpr double kFar = 1e6;
  if (k2 == 0.0) return k1 < 0.0 ? -1.0 / (3.0 * k1) : kFar;
  const double inside = 9.0 * k1 * k1 - 20.0 * k2;
  if (inside < 0.0) return kFar;
  const double a = (-3.0 * k1 - std::sqrt(inside)) / (10.0 * k2);
  const double b = (-3.0 * k1 + std::sqrt(inside)) / (10.0 * k2);
  const double near = std::min(a, b), far = std::max(a, b);
  return near > 0.0 ? near : far > 0.0 ? far : kFar;
}

}  // namespace

Camera::Camera(const CameraSpec& spec)
    : spec_(spec), fold_r2_(0.98 * fold_radius_squared(spec.k1, spec.k2)) {
  const double yaw = spec.yaw_deg * kRadPerDeg;
  const GymPoint aim{spec.aim_x_m, spec.aim_height_m, 0.0};
  place_ = {spec.aim_x_m + spec.distance_m * std::sin(yaw),
            spec.height_m,
            -spec.distance_m * std::cos(yaw)};
  forward_ = unit(aim - place_);
  const GymPoint up{0.0, 1.0, 0.0};
  // x right, y up, z away from the viewer is left-handed: right = up × forward.
  const GymPoint level_right = unit(cross(up, forward_));
  const GymPoint level_down = -1.0 * cross(forward_, level_right);
  const double roll = spec.roll_deg * kRadPerDeg;
  // Turning the camera anticlockwise turns its picture clockwise.
  right_ = std::cos(roll) * level_right - std::sin(roll) * level_down;
  down_ = std::sin(roll) * level_right + std::cos(roll) * level_down;
}

Pixel Camera::px_from_gym(GymPoint p) const {
  const GymPoint q = p - place_;
  const double depth = std::max(dot(q, forward_), kNearestDepth_m);
  const double x = dot(q, right_) / depth;
  const double y = dot(q, down_) / depth;
  // Past the radius where the formula would fold the picture back, it goes on in proportion.
  const double r2 = std::min(x * x + y * y, fold_r2_);
  const double bend = 1.0 + r2 * (spec_.k1 + r2 * spec_.k2);
  return {0.5 * (spec_.width_px - 1) + spec_.focal_px * bend * x,
          0.5 * (spec_.height_px - 1) + spec_.focal_px * bend * y};
}

Outline Camera::outline_from_gym(const std::vector<GymPoint>& outline) const {
  constexpr double kCut_m = 0.4;
  constexpr double kLongestPiece = 0.08;  // share of the edge's depth
  Outline out;
  const std::size_t n = outline.size();
  for (std::size_t k = 0; k < n; ++k) {
    GymPoint a = outline[k], b = outline[(k + 1) % n];
    const double da = depth_m(a), db = depth_m(b);
    if (da < kCut_m && db < kCut_m) continue;
    if (da < kCut_m) a = a + ((kCut_m - da) / (db - da)) * (b - a);
    const bool leaves = db < kCut_m;
    if (leaves) b = a + ((depth_m(a) - kCut_m) / (depth_m(a) - db)) * (b - a);
    const GymPoint edge = b - a;
    const double nearest = std::min(depth_m(a), depth_m(b));
    const bool straight = spec_.k1 == 0.0 && spec_.k2 == 0.0;
    const double pieces = std::sqrt(dot(edge, edge)) / (kLongestPiece * nearest);
    const int m = straight ? 1 : std::clamp(static_cast<int>(std::ceil(pieces)), 1, 200);
    for (int i = 0; i < m; ++i) out.push_back(px_from_gym(a + (double(i) / m) * edge));
    if (leaves) out.push_back(px_from_gym(b));
  }
  return out;
}

}  // namespace render
