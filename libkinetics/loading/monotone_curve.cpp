#include "libkinetics/loading/monotone_curve.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

using Rows = std::vector<std::pair<double, double>>;

double step(const Rows& rows, std::size_t i) {
  return rows[i + 1].first - rows[i].first;
}

double chord(const Rows& rows, std::size_t i) {
  return (rows[i + 1].second - rows[i].second) / step(rows, i);
}

/// Weighted harmonic mean of the chords on both sides; flat at a turn.
double inner_slope(double step0, double chord0, double step1, double chord1) {
  if (chord0 * chord1 <= 0.0) return 0.0;
  const double weight0 = 2.0 * step1 + step0;
  const double weight1 = step1 + 2.0 * step0;
  return (weight0 + weight1) / (weight0 / chord0 + weight1 / chord1);
}

/// Slope at an end from the two chords next to it, kept from bending the wrong way.
double end_slope(double step0, double chord0, double step1, double chord1) {
  const double slope = ((2.0 * step0 + step1) * chord0 - step0 * chord1) / (step0 + step1);
  if (slope * chord0 <= 0.0) return 0.0;
  if (chord0 * chord1 <= 0.0 && std::abs(slope) > 3.0 * std::abs(chord0)) return 3.0 * chord0;
  return slope;
}

std::vector<double> limited_slopes(const Rows& rows) {
  const std::size_t n = rows.size();
  if (n == 2) return {chord(rows, 0), chord(rows, 0)};
  std::vector<double> slopes(n);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    slopes[i] = inner_slope(step(rows, i - 1), chord(rows, i - 1), step(rows, i), chord(rows, i));
  }
  slopes[0] = end_slope(step(rows, 0), chord(rows, 0), step(rows, 1), chord(rows, 1));
  slopes[n - 1] =
      end_slope(step(rows, n - 2), chord(rows, n - 2), step(rows, n - 3), chord(rows, n - 3));
  return slopes;
}

}  // namespace

MonotoneCurve::MonotoneCurve(Rows rows) : rows_(std::move(rows)) {
  KINETICS_ASSERT(rows_.size() >= 2);
  slopes_ = limited_slopes(rows_);
}

MonotoneCurve::Point MonotoneCurve::inside(std::size_t piece, double x) const {
  const double h = step(rows_, piece);
  const double t = (x - rows_[piece].first) / h;
  const double y = rows_[piece].second;
  const double d = slopes_[piece] * h;
  // y + d t + b t² + c t³ meets the next row with its slope.
  const double rise = rows_[piece + 1].second - y;
  const double d1 = slopes_[piece + 1] * h;
  const double b = 3.0 * rise - 2.0 * d - d1;
  const double c = d + d1 - 2.0 * rise;
  return {.value = y + t * (d + t * (b + t * c)),
          .slope = (d + t * (2.0 * b + t * 3.0 * c)) / h,
          .integral = h * t * (y + t * (d / 2.0 + t * (b / 3.0 + t * c / 4.0)))};
}

MonotoneCurve::Point MonotoneCurve::at(double x) const {
  const auto straight = [](Point from, double by) {
    return Point{.value = from.value + from.slope * by,
                 .slope = from.slope,
                 .integral = from.integral + by * (from.value + from.slope * by / 2.0)};
  };
  if (x <= rows_.front().first) {
    return straight({.value = rows_.front().second, .slope = slopes_.front()},
                    x - rows_.front().first);
  }
  double before = 0.0;
  std::size_t piece = 0;
  for (; piece + 1 < rows_.size() && x > rows_[piece + 1].first; ++piece) {
    before += inside(piece, rows_[piece + 1].first).integral;
  }
  const bool beyond = piece + 1 == rows_.size();
  Point point =
      beyond ? Point{.value = rows_.back().second, .slope = slopes_.back()} : inside(piece, x);
  point.integral += before;
  return beyond ? straight(point, x - rows_.back().first) : point;
}

double MonotoneCurve::zero_below() const {
  const double value = rows_.front().second;
  if (value <= 0.0 || slopes_.front() <= 0.0) return rows_.front().first;
  return rows_.front().first - value / slopes_.front();
}

}  // namespace kinetics
