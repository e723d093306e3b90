#pragma once

/// Quantiles of Student's distribution. Private to the room.

namespace kinetics {

/// Two-sided 95 % quantile; infinite degrees give the normal distribution's.
[[nodiscard]] double student95(double degrees);

/// Chance that |t| is larger.
[[nodiscard]] double student_two_sided(double t, double degrees);

}  // namespace kinetics
