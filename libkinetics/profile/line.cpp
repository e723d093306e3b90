#include "libkinetics/profile/line.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/loading/mass.h"
#include "libkinetics/profile/student.h"

namespace kinetics {
namespace {

double variance_at(const VelocityLine& line, double load_kg) {
  const Eigen::Vector2d at(1.0, load_kg);
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

}  // namespace

VelocityAt velocity_at(const VelocityLine& line, double load_kg) {
  const double v = line.intercept_mps + line.slope_mps_per_kg * load_kg;
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
  const double fall = -line.slope_mps_per_kg;
  if (!(fall > 0.0)) return std::nullopt;
  const double numerator = line.intercept_mps - goal.velocity_mps;
  double variance = line.covariance(0, 0) + goal.sigma_mps * goal.sigma_mps;
  if (of_one_set) {
    variance += line.scatter_mps * line.scatter_mps + line.day_scatter_mps * line.day_scatter_mps;
  }
  const double t = student95(of_one_set ? line.set_degrees : line.degrees);
  return Worked{.value = numerator / fall,
                .interval = fieller(
                    numerator, fall, variance, -line.covariance(0, 1), line.covariance(1, 1), t)};
}

std::optional<ForceVelocity> force_velocity(const VelocityLine& line) {
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
    const double log_half = t * std::sqrt(std::max(0.0, slope.dot(line.covariance * slope)));
    out.pmax_w.interval =
        Interval{out.pmax_w.value * std::exp(-log_half), out.pmax_w.value * std::exp(log_half)};
  }
  return out;
}

}  // namespace kinetics
