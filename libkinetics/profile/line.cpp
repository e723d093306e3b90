#include "libkinetics/profile/line.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/profile/student.h"

namespace kinetics {
namespace {

double variance_at(const VelocityLine& line, double load_kg) {
  const Eigen::Vector3d at(1.0, load_kg, load_kg * load_kg);
  return std::max(0.0, at.dot(line.covariance * at));
}

/// Fieller's interval of a ratio. `var` are those of numerator and denominator.
std::optional<Interval> fieller(double numerator,
                                double denominator,
                                double var_numerator,
                                double covariance,
                                double var_denominator,
                                double t) {
  const double a = denominator * denominator - t * t * var_denominator;
  if (!(a > 0.0)) return std::nullopt;
  const double b = numerator * denominator - t * t * covariance;
  const double c = numerator * numerator - t * t * var_numerator;
  const double root = std::sqrt(std::max(0.0, b * b - a * c));
  return Interval{(b - root) / a, (b + root) / a};
}

double set_variance(const VelocityLine& line) {
  return line.scatter_mps * line.scatter_mps + line.day_scatter_mps * line.day_scatter_mps;
}

std::optional<Worked> load_at_straight(const VelocityLine& line,
                                       const VelocityGoal& goal,
                                       bool of_one_set) {
  const double fall = -line.slope_mps_per_kg;
  if (!(fall > 0.0)) return std::nullopt;
  const double numerator = line.intercept_mps - goal.velocity_mps;
  double variance = line.covariance(0, 0) + goal.sigma_mps * goal.sigma_mps;
  if (of_one_set) variance += set_variance(line);
  const double t = student95(of_one_set ? line.set_degrees : line.degrees);
  return Worked{.value = numerator / fall,
                .interval = fieller(
                    numerator, fall, variance, -line.covariance(0, 1), line.covariance(1, 1), t)};
}

/// Where `height(load)` comes down to zero on its way up from `from_kg`; nothing up to `to_kg`.
template <typename Height>
std::optional<double> crossing(Height height, double from_kg, double to_kg) {
  if (!(height(from_kg) > 0.0) || height(to_kg) > 0.0) return std::nullopt;
  for (int i = 0; i < 80; ++i) {
    const double middle = 0.5 * (from_kg + to_kg);
    (height(middle) > 0.0 ? from_kg : to_kg) = middle;
  }
  return 0.5 * (from_kg + to_kg);
}

/// A curve is followed from the lightest load down to where it stops falling.
std::optional<Worked> load_at_curved(const VelocityLine& line,
                                     const VelocityGoal& goal,
                                     bool of_one_set) {
  constexpr double kFurthest = 3.0;  // times the heaviest load
  double end_kg = kFurthest * line.heaviest_kg;
  const double turn_kg = -line.slope_mps_per_kg / (2.0 * line.bend_mps_per_kg2);
  if (line.bend_mps_per_kg2 > 0.0) end_kg = std::min(end_kg, turn_kg);
  const double from_kg = line.bend_mps_per_kg2 < 0.0 ? std::max(turn_kg, 0.0) : 0.0;
  const double t = student95(of_one_set ? line.set_degrees : line.degrees);
  const auto above = [&](double side) {
    return [&line, &goal, of_one_set, t, side](double load_kg) {
      double variance = variance_at(line, load_kg) + goal.sigma_mps * goal.sigma_mps;
      if (of_one_set) variance += set_variance(line);
      return velocity_at(line, load_kg).velocity_mps + side * t * std::sqrt(variance) -
             goal.velocity_mps;
    };
  };
  const auto value = crossing(above(0.0), from_kg, end_kg);
  if (!value) return std::nullopt;
  const auto lo = crossing(above(-1.0), from_kg, end_kg);
  const auto hi = crossing(above(1.0), from_kg, end_kg);
  Worked out{*value, std::nullopt};
  if (lo && hi) out.interval = Interval{*lo, *hi};
  return out;
}

}  // namespace

VelocityAt velocity_at(const VelocityLine& line, double load_kg) {
  const double v =
      line.intercept_mps + load_kg * (line.slope_mps_per_kg + load_kg * line.bend_mps_per_kg2);
  const double variance = variance_at(line, load_kg);
  const double one_more =
      variance + line.scatter_mps * line.scatter_mps + line.day_scatter_mps * line.day_scatter_mps;
  const double line_half = student95(line.degrees) * std::sqrt(variance);
  const double set_half = student95(line.set_degrees) * std::sqrt(one_more);
  return {.load_kg = load_kg,
          .velocity_mps = v,
          .line_mps = {v - line_half, v + line_half},
          .set_mps = {v - set_half, v + set_half},
          .outside = load_kg < line.lightest_kg || load_kg > line.heaviest_kg};
}

std::optional<Worked> load_at(const VelocityLine& line, const VelocityGoal& goal, bool of_one_set) {
  return line.bend_mps_per_kg2 == 0.0 ? load_at_straight(line, goal, of_one_set)
                                      : load_at_curved(line, goal, of_one_set);
}

std::optional<ForceVelocity> force_velocity(const VelocityLine& line) {
  KINETICS_ASSERT(line.bend_mps_per_kg2 == 0.0);
  const std::optional<Worked> at_rest = load_at(line, {});
  if (!at_rest || !(line.intercept_mps > 0.0)) return std::nullopt;
  const auto scaled = [](const Worked& w, double by) {
    Worked out{w.value * by, std::nullopt};
    if (w.interval) out.interval = Interval{w.interval->lo * by, w.interval->hi * by};
    return out;
  };
  const double t = student95(line.degrees);
  ForceVelocity out;
  out.f0_n = scaled(*at_rest, kStandardGravity);
  out.best_load_kg = scaled(*at_rest, 0.5);
  const double half = t * std::sqrt(std::max(0.0, line.covariance(0, 0)));
  out.v0_mps = {line.intercept_mps, Interval{line.intercept_mps - half, line.intercept_mps + half}};
  out.best_mps = 0.5 * line.intercept_mps;
  out.pmax_w.value = 0.25 * out.f0_n.value * line.intercept_mps;
  if (at_rest->interval) {
    // ln Pmax = 2 ln intercept - ln fall + constant
    const Eigen::Vector2d slope(2.0 / line.intercept_mps, -1.0 / line.slope_mps_per_kg);
    const Eigen::Matrix2d covariance = line.covariance.topLeftCorner<2, 2>();
    const double log_half = t * std::sqrt(std::max(0.0, slope.dot(covariance * slope)));
    out.pmax_w.interval =
        Interval{out.pmax_w.value * std::exp(-log_half), out.pmax_w.value * std::exp(log_half)};
  }
  return out;
}

}  // namespace kinetics
