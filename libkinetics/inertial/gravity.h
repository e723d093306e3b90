#pragma once

/// Gravity at a place, and turns as vectors.

namespace kinetics {

/// Standard gravity, 3rd CGPM 1901: what a log is compared with when no place is known.
inline constexpr double kStandardGravity_mps2 = 9.80665;

/// Gravity at a geographic latitude and a height above the sea.
///
/// Accuracy  1e-4 m/s² against the 1980 ellipsoid's formula (tests/inertial/gravity_test.cpp);
///           the ground itself differs by as much from place to place.
/// Source    Helmert's formula of 1901 as used for the U.S. Standard Atmosphere, with the free-air
///           gradient of 3.086e-6 1/s² (from memory).
[[nodiscard]] double gravity_at(double latitude_deg, double height_m = 0.0);

}  // namespace kinetics
