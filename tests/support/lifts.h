#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "libkinetics/tracking/bar_path.h"

/// Bar motions known in closed form, and what a camera would report of them. Test instrument:
/// shares no code with the library, and finds its truth by bisection on the exact velocity.

namespace kinetics_test {

/// How one movement runs from 0 to 1 in unit time.
enum class Shape {
  kMinimumJerk,  ///< 10s³ − 15s⁴ + 6s⁵
  kHalfSine,     ///< velocity sin πs
  kTwoHumps,     ///< velocity sin πs + ½ sin 3πs
  kStall,        ///< velocity sin πs + sin 3πs: stands still for an instant half way
  kSlips,        ///< velocity sin πs + 1.15 sin 3πs: slips back a little half way
  kSlowLockout,  ///< velocity s²(1 − s)⁴: fast off the bottom, creeps into the lockout
  kLateRush,     ///< velocity s³(1 − s)²
  kFreeFall,     ///< height s²: dropped; ends abruptly
  kHop,          ///< height 4s(1 − s), up and back: a bounce; starts and ends abruptly
};

/// One stretch of motion. Height and side move together; 0 for none.
struct Piece {
  double start_s = 0.0;
  double length_s = 0.0;
  double rise_m = 0.0;
  double aside_m = 0.0;
  Shape shape = Shape::kMinimumJerk;
  double from_height_m = 0.0;
  double from_x_m = 0.0;
  double sway_m = 0.0;  ///< amplitude of a sine on top, faded in and out with zero acceleration
  double sway_hz = 0.0;
};

/// What exact kinematics says of one repetition.
struct TrueRep {
  double start_s = 0.0;
  double end_s = 0.0;
  double rom_m = 0.0;
  double mean_mps = 0.0;
  double peak_mps = 0.0;
  double peak_at_s = 0.0;
  double propulsive_mps = 0.0;
};

/// A motion put together piece by piece; each call adds a stretch of time.
class Lift {
 public:
  explicit Lift(double height_m = 0.0) : height_m_(height_m) {}

  Lift& rest(double length_s);
  Lift& sway(double length_s, double amplitude_m, double hz);
  Lift& move(double rise_m, double length_s, Shape shape = Shape::kMinimumJerk);
  Lift& carry(double rise_m, double aside_m, double length_s);
  /// Flies up by `rise_m` and falls back, under gravity.
  Lift& bounce(double rise_m);
  /// As move, and counted as a repetition that must be found.
  Lift& rep(double rise_m, double length_s, Shape shape = Shape::kMinimumJerk);

  [[nodiscard]] double length_s() const { return now_s_; }
  [[nodiscard]] double height_m(double t_s) const;
  [[nodiscard]] double velocity_mps(double t_s) const;
  [[nodiscard]] double accel_mps2(double t_s) const;
  [[nodiscard]] double x_m(double t_s) const;
  [[nodiscard]] std::vector<TrueRep> truth(double threshold_mps = 0.02) const;

 private:
  [[nodiscard]] const Piece& at(double t_s) const;
  Piece& add(double length_s);

  std::vector<Piece> pieces_;
  std::vector<std::size_t> reps_;
  double now_s_ = 0.0;
  double height_m_ = 0.0;
  double x_m_ = 0.0;
};

/// How the motion is filmed.
struct Filming {
  double rate_hz = 60.0;
  double sigma_m = 0.0005;        ///< white noise of each point, and the sigma that is stated
  double stated_over_true = 1.0;  ///< the stated sigma is off by this factor
  double correlation = 0.0;       ///< of the noise from one frame to the next, 0 to 1
  double jitter_s = 0.0;          ///< frames are unevenly spaced by this much (times stay exact)
  double scale = 1.0;             ///< all lengths come out too big by this factor
  std::vector<std::pair<double, double>> hidden = {};  ///< from, to, s
  std::vector<std::pair<double, double>> jumps = {};   ///< time, by how much the point is off, m
  std::uint32_t seed = 1;
};

[[nodiscard]] kinetics::BarPath filmed(const Lift& lift, const Filming& filming = {});

}  // namespace kinetics_test
