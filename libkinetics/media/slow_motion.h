#pragma once

#include <optional>
#include <string>

/// Private to this room: how much slower than life a clip is stored.

namespace kinetics {

/// Stored time over real time for a camera that took `capture_hz` pictures a second when
/// `stored_hz` are shown.
///
/// Phones stretch their stamps by a whole number but drop pictures in poor light, so the quotient
/// of the two rates misses that number a little: within 2 % the whole number is taken, and within
/// 0.5 % a half (60 shown at 24). Common practice, no source.
[[nodiscard]] double slow_motion_factor(double capture_hz, double stored_hz);

/// A rate written in a container's tag, Hz; nothing when it is not a positive number.
[[nodiscard]] std::optional<double> rate_from_tag(const std::string& text);

}  // namespace kinetics
