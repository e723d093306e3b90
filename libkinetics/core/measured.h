#pragma once

#include <optional>
#include <string_view>

/// A number with its standard error, or the reason why there is none.

namespace kinetics {

/// Why a number could not be had.
enum class Reason {
  kDiscHidden,     ///< the disc was out of sight for too much of the phase
  kTooFewFrames,   ///< too few frames to say anything about the phase
  kOutsideClip,    ///< the phase starts before the clip or ends after it
  kNoReadings,     ///< a log has no readings for too much of the phase
  kLoadUnknown,    ///< what was on the bar was not said
  kHeightUnknown,  ///< chains or bands, and the bar's height above the floor was not said
  kWithinNoise,    ///< too small to tell from the measurement's noise
  kNotApplicable,  ///< the lift has no such phase (a deadlift's first pull has no descent)
  kNotGiven,       ///< the numbers came from elsewhere, and this was not among them
};

/// A short phrase for the coach, for example "disc hidden".
[[nodiscard]] std::string_view in_words(Reason reason);

/// Two-sided 95 % quantile of the normal distribution.
inline constexpr double kNormal95 = 1.959963984540054;

/// Holds a value with its standard error in the same unit, or a Reason. Never NaN.
class [[nodiscard]] Measured {
 public:
  Measured() = default;  ///< not measured: not applicable
  Measured(double value, double sigma) : value_(value), sigma_(sigma), measured_(true) {}
  Measured(Reason reason) : reason_(reason) {}  // NOLINT: `return Reason::kDiscHidden;` reads well

  [[nodiscard]] bool ok() const { return measured_; }
  explicit operator bool() const { return measured_; }

  /// The value, its standard error, and the ends of its 95 % interval. Throw Error{kInternal}
  /// when nothing was measured: ask ok() first.
  [[nodiscard]] double value() const;
  [[nodiscard]] double sigma() const;
  [[nodiscard]] double lo() const { return value() - kNormal95 * sigma(); }
  [[nodiscard]] double hi() const { return value() + kNormal95 * sigma(); }

  /// Why there is no value. Meaningful only when !ok().
  [[nodiscard]] Reason reason() const { return reason_; }

  bool operator==(const Measured&) const = default;

 private:
  double value_ = 0.0;
  double sigma_ = 0.0;
  Reason reason_ = Reason::kNotApplicable;
  bool measured_ = false;
};

}  // namespace kinetics
