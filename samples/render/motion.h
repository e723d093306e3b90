#pragma once

#include <memory>
#include <string>
#include <vector>

/// How the bar moves, as functions of time that can be evaluated anywhere, and the exact
/// repetition figures that follow from them.

namespace render {

/// Value and first two derivatives.
struct Jet {
  double value = 0.0;
  double rate = 0.0;
  double accel = 0.0;
};

/// A way to go from 0 to 1 while s goes from 0 to 1.
class Shape {
 public:
  virtual ~Shape() = default;
  [[nodiscard]] virtual Jet at(double s) const = 0;
};

/// 10 s³ − 15 s⁴ + 6 s⁵: T. Flash, N. Hogan, J Neurosci 1985; 5:1688–1703.
[[nodiscard]] std::shared_ptr<const Shape> minimum_jerk();
/// Rate proportional to sᵃ (1 − s)ᵇ; a < b peaks early, a > b late.
[[nodiscard]] std::shared_ptr<const Shape> skewed(double a, double b);
/// A grinder: a minimum-jerk rate with a dip of `depth` (0 to 1) of the given width around `where`.
[[nodiscard]] std::shared_ptr<const Shape> two_humps(double depth, double where, double width);
/// Quintic with given accelerations (in units of travel/time²) at both ends.
[[nodiscard]] std::shared_ptr<const Shape> turning(double accel_start, double accel_end);

/// A smooth function of time: moves one after another, holds between them, and wobbles on top.
class Curve {
 public:
  explicit Curve(double start = 0.0) : start_(start), end_(start) {}
  /// Goes to `to` between the two times. Moves must not overlap.
  void move(double t0, double t1, double to, std::shared_ptr<const Shape> shape = minimum_jerk());
  /// Adds a sine that fades in and out within the two times.
  void wobble(double t0, double t1, double amplitude, double frequency_hz, double phase_rad);
  [[nodiscard]] Jet at(double t) const;
  [[nodiscard]] double last() const { return end_; }

 private:
  struct Move {
    double t0, t1, from, to;
    std::shared_ptr<const Shape> shape;
  };
  struct Wobble {
    double t0, t1, amplitude, frequency_hz, phase_rad;
  };
  double start_, end_;
  std::vector<Move> moves_;
  std::vector<Wobble> wobbles_;
};

/// Where a repetition is within the curves, as the script laid it out.
struct RepMark {
  int set = 1;
  int rep = 1;
  std::string kind = "full";     ///< "full", "partial" or "failed"
  double descent_start_s = 0.0;  ///< equal to descent_end_s when the lift starts from the floor
  double descent_end_s = 0.0;
  double rise_start_s = 0.0;
  double rise_end_s = 0.0;
};

/// The bar meets something, or leaves it.
struct Contact {
  enum class With { kHooks, kBox, kFloor, kSafeties };
  double at_s = 0.0;
  With with = With::kHooks;
  bool leaves = false;  ///< taken out of the hooks
};

/// What is true of one repetition.
struct RepTruth {
  int set = 1;
  int rep = 1;
  std::string kind;
  double start_s = 0.0;
  double end_s = 0.0;
  double mean_velocity_mps = 0.0;
  double peak_velocity_mps = 0.0;
  double propulsive_velocity_mps = 0.0;  ///< mean until acceleration first falls below −9.80665
  double rom_m = 0.0;
  double time_to_peak_s = 0.0;
  double eccentric_s = 0.0;
  double eccentric_velocity_mps = 0.0;
  double pause_s = 0.0;
};

/// The whole clip's bar, or that of one turn. The curves and marks count from `begins_s`.
struct BarMotion {
  double begins_s = 0.0;
  Curve x, height, depth;
  std::vector<RepMark> reps;
  std::vector<Contact> contacts;  ///< in time order
  double end_s = 0.0;
};

/// Upward velocity at which the concentric phase starts and ends, m/s.
inline constexpr double kThreshold_mps = 0.02;

[[nodiscard]] RepTruth measure(const RepMark& mark, const Curve& height);

}  // namespace render
