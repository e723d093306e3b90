#include "libkinetics/media/orientation.h"

#include <cmath>

namespace kinetics {

Orientation orientation_of(std::span<const std::int32_t, 9> matrix) {
  const double a = matrix[0];
  const double b = matrix[1];
  const double c = matrix[3];
  const double d = matrix[4];
  const double straight = std::abs(a) + std::abs(d);
  const double crossed = std::abs(b) + std::abs(c);
  if (straight + crossed == 0.0) return {};  // a matrix of zeros says nothing

  Orientation result;
  result.swapped = crossed > straight;
  result.flip_x = result.swapped ? c < 0.0 : a < 0.0;
  result.flip_y = result.swapped ? b < 0.0 : d < 0.0;
  // Two degrees off is a rounding habit of some phones, not a tilted picture.
  constexpr double kTangentOfTwoDegrees = 0.0349;
  result.exact = std::min(straight, crossed) <= kTangentOfTwoDegrees * std::max(straight, crossed);
  return result;
}

Orientation orientation_of(int clockwise_deg, bool is_mirrored) {
  switch (clockwise_deg) {
    case 90:
      return {.swapped = true, .flip_x = true, .flip_y = is_mirrored};
    case 180:
      return {.flip_x = !is_mirrored, .flip_y = true};
    case 270:
      return {.swapped = true, .flip_y = !is_mirrored};
    default:
      return {.flip_x = is_mirrored};
  }
}

// A clockwise turn by θ shows (p, q) at (p cos θ − q sin θ, p sin θ + q cos θ); a mirror before it
// changes the sign of p only, so the column of q tells the angle in both cases.
int rotation_deg(const Orientation& o) {
  if (o.swapped) return o.flip_x ? 90 : 270;
  return o.flip_y ? 180 : 0;
}

bool mirrored(const Orientation& o) {
  const bool odd_flips = o.flip_x != o.flip_y;
  return o.swapped ? !odd_flips : odd_flips;
}

ReadoutDirection readout_of(const Orientation& o) {
  if (o.swapped) return o.flip_x ? ReadoutDirection::kLeft : ReadoutDirection::kRight;
  return o.flip_y ? ReadoutDirection::kUp : ReadoutDirection::kDown;
}

LumaView view_of(const std::uint8_t* plane,
                 std::ptrdiff_t stride,
                 int stored_width,
                 int stored_height,
                 const Orientation& o) {
  LumaView view;
  view.width = o.swapped ? stored_height : stored_width;
  view.height = o.swapped ? stored_width : stored_height;
  view.step_x = o.swapped ? stride : 1;
  view.step_y = o.swapped ? 1 : stride;
  view.origin = plane;
  if (o.flip_x) {
    view.origin += view.step_x * (view.width - 1);
    view.step_x = -view.step_x;
  }
  if (o.flip_y) {
    view.origin += view.step_y * (view.height - 1);
    view.step_y = -view.step_y;
  }
  return view;
}

}  // namespace kinetics
