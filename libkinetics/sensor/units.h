#pragma once

#include <optional>
#include <string>
#include <string_view>

/// The units logs are written in, and what one of each is in SI.

namespace kinetics::sensor_detail {

/// What kind of quantity a unit belongs to.
enum class UnitOf {
  kNothing,
  kTime,
  kAcceleration,
  kRotationRate,
  kLength,
  kSpeed,
  kMagneticField,
  kOther,  ///< temperature, pressure, per cent …: known, and of no use here
};

struct Unit {
  UnitOf of = UnitOf::kNothing;
  double in_si = 1.0;  ///< s, m/s², rad/s, m, m/s in one of it
  std::string name;    ///< as we write it
  explicit operator bool() const { return of != UnitOf::kNothing; }
};

/// Standard gravity, exact by definition (3rd CGPM, 1901).
inline constexpr double kStandardGravity = 9.80665;
inline constexpr double kDegree = 3.14159265358979323846 / 180.0;

/// `text` with the signs that stand in units and headers written in ASCII: ² → 2, ° → deg, µ → u,
/// ω → w, no-break space → space; lower case is left to the caller. Takes UTF-8 and, byte by byte
/// where it is not UTF-8, Latin-1.
[[nodiscard]] std::string in_ascii(std::string_view text);

/// The unit written in `text` ("m/s^2", "mg", "deg/s", "dps", "µs", "16384/g"), nothing else; none
/// when it is not one. "N/g" and "N/deg/s" state raw counts per unit.
[[nodiscard]] Unit unit_in(std::string_view text);

/// What `LogOptions::units` asks for.
struct GivenUnits {
  Unit time;
  Unit acceleration;
  Unit rotation_rate;
  Unit length;
};

/// Reads "g,deg/s" or "accel=g, gyro=rad/s, time=ms, height=mm". Throws Error{kUsage}.
[[nodiscard]] GivenUnits given_units(std::string_view text);

}  // namespace kinetics::sensor_detail
