#pragma once

#include <optional>

#include <Eigen/Core>

/// A straight load-velocity line with its uncertainty, and what follows from it.

namespace kinetics {

struct Interval {
  double lo = 0.0;
  double hi = 0.0;
};

/// velocity = intercept + slope · load + bend · load², as estimated; straight when bend is zero.
struct VelocityLine {
  double intercept_mps = 0.0;
  double slope_mps_per_kg = 0.0;  ///< below zero: more load, less velocity
  double bend_mps_per_kg2 = 0.0;
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< of the three
  double scatter_mps = 0.0;      ///< one standard deviation from set to set of one day
  double day_scatter_mps = 0.0;  ///< from day to day, common to the sets of a day
  double degrees = 0.0;          ///< of freedom of the line's interval; infinite: normal
  double set_degrees = 0.0;      ///< of the interval for one more set
  double lightest_kg = 0.0;      ///< loads that were lifted
  double heaviest_kg = 0.0;
};

/// What the line says at one load. Intervals are 95 %.
struct VelocityAt {
  double load_kg = 0.0;
  double velocity_mps = 0.0;
  Interval line_mps;     ///< where the lifter's line lies (confidence interval)
  Interval set_mps;      ///< where one more set, on another day, will lie (prediction interval)
  bool outside = false;  ///< the load is lighter or heavier than all that were lifted
};

/// Accuracy  with one scatter and no days both intervals are the textbook's (R's predict.lm), to
///           rounding. With days the degrees of freedom are Satterthwaite's.
/// Source    N. R. Draper, H. Smith, Applied Regression Analysis, 3rd ed., Wiley 1998, ch. 3.
[[nodiscard]] VelocityAt velocity_at(const VelocityLine& line, double load_kg);

/// A number worked out from the line, with its 95 % interval where that has two ends.
struct Worked {
  double value = 0.0;
  std::optional<Interval> interval;
};

/// A velocity with one standard error of its own.
struct VelocityGoal {
  double velocity_mps = 0.0;
  double sigma_mps = 0.0;
};

/// The load at which the line comes down to a velocity; nothing when it never does.
///
/// Interval  Fieller's, the goal's own error counted; with `of_one_set` for one set whose velocity
///           scatters about the line. Empty when the slope cannot be told from zero. Of a curve,
///           where its band meets the goal: the same for a straight one.
/// Source    E. C. Fieller, J R Stat Soc B 1954; 16:175-185 (from memory).
[[nodiscard]] std::optional<Worked> load_at(const VelocityLine& line,
                                            const VelocityGoal& goal,
                                            bool of_one_set = false);

/// The straight force-velocity line F = F0 (1 - v / V0) of the bar, force being its weight.
///
/// The mean force over a rise from rest to rest is the load's weight; the lifter's own mass is not
/// counted. Loads must be those that weigh (LoadAxis::kMean) when chains or bands were on the bar.
struct ForceVelocity {
  Worked f0_n;            ///< at no velocity
  Worked v0_mps;          ///< at no load
  Worked pmax_w;          ///< F0 V0 / 4, the highest mean power
  Worked best_load_kg;    ///< at which it is: F0 / 2
  double best_mps = 0.0;  ///< velocity there: V0 / 2
};

/// Empty when the line does not fall. A bend is left out: give the straight line.
///
/// Interval  Fieller's for F0 and the load; delta method on the logarithm for Pmax.
/// Source    S. Jaric, Sports Med 2016; 46:1585-1589, for the linear relation; the rest is algebra.
[[nodiscard]] std::optional<ForceVelocity> force_velocity(const VelocityLine& line);

}  // namespace kinetics
