#pragma once

#include <cstdint>
#include <span>

#include "libkinetics/media/clip.h"

/// Private to this room: how a stored picture is turned for display.

namespace kinetics {

/// Displayed axes along stored ones. A picture is turned by walking its bytes in another order.
struct Orientation {
  bool swapped = false;  ///< displayed x runs along stored y
  bool flip_x = false;   ///< displayed x runs against the stored axis it follows
  bool flip_y = false;
  bool exact = true;  ///< false: the turn asked for is not a multiple of 90°; nearest taken
  bool operator==(const Orientation&) const = default;
};

/// From the nine numbers of a display matrix, a b u c d v x y w: a stored point (p, q) is shown at
/// x = a p + c q, y = b p + d q, both axes counted right and down.
///
/// Source  ISO/IEC 14496-12, "Track header box", matrix (from memory); FFmpeg libavutil/display.h.
[[nodiscard]] Orientation orientation_of(std::span<const std::int32_t, 9> matrix);

/// The turn that a ClipInfo describes: mirrored left to right first if so, then turned clockwise.
[[nodiscard]] Orientation orientation_of(int clockwise_deg, bool is_mirrored);

[[nodiscard]] int rotation_deg(const Orientation& orientation);
[[nodiscard]] bool mirrored(const Orientation& orientation);
[[nodiscard]] ReadoutDirection readout_of(const Orientation& orientation);

/// The displayed view of a stored plane of 8-bit samples.
[[nodiscard]] LumaView view_of(const std::uint8_t* plane,
                               std::ptrdiff_t stride,
                               int stored_width,
                               int stored_height,
                               const Orientation& orientation);

}  // namespace kinetics
