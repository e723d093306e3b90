#pragma once

/// Kilograms and pounds in one value, and what a kilogram weighs.

namespace kinetics {

/// One pound in kilograms, exactly (international yard and pound agreement, 1959).
inline constexpr double kKilogramsPerPound = 0.45359237;

/// Standard acceleration of free fall, m/s², exactly (3rd CGPM, 1901).
inline constexpr double kStandardGravity = 9.80665;

enum class MassUnit { kKilogram, kPound };

/// A mass with the unit it is stamped or spoken in, so that "45 lb" prints as 45 lb.
class Mass {
 public:
  constexpr Mass() = default;
  [[nodiscard]] static constexpr Mass kilograms(double kg) { return {kg, MassUnit::kKilogram}; }
  [[nodiscard]] static constexpr Mass pounds(double lb) { return {lb, MassUnit::kPound}; }

  [[nodiscard]] constexpr double kg() const {
    return unit_ == MassUnit::kKilogram ? value_ : value_ * kKilogramsPerPound;
  }
  [[nodiscard]] constexpr double lb() const {
    return unit_ == MassUnit::kPound ? value_ : value_ / kKilogramsPerPound;
  }

  /// The number as stamped, and its unit.
  [[nodiscard]] constexpr double value() const { return value_; }
  [[nodiscard]] constexpr MassUnit unit() const { return unit_; }

  bool operator==(const Mass&) const = default;

 private:
  constexpr Mass(double value, MassUnit unit) : value_(value), unit_(unit) {}
  double value_ = 0.0;
  MassUnit unit_ = MassUnit::kKilogram;
};

}  // namespace kinetics
