#include "libkinetics/training/reliability.h"

#include <cmath>
#include <cstddef>
#include <numbers>
#include <numeric>

#include <boost/math/distributions/students_t.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

// As it is published, to two decimals.
constexpr double kPublished95 = 1.96;

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

}  // namespace

double standard_deviation(const std::vector<double>& values) {
  if (values.size() < 2) return 0.0;
  const double middle = mean(values);
  double sum = 0.0;
  for (const double v : values) sum += (v - middle) * (v - middle);
  return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

Reliability reliability(const std::vector<double>& first, const std::vector<double>& second) {
  if (first.size() != second.size() || first.size() < 2) {
    throw Error(
        ErrorCode::kUsage,
        "reliability",
        fmt::format("{} lifters in one test and {} in the other", first.size(), second.size()),
        "Give the same lifters in the same order twice, two or more");
  }
  std::vector<double> changes;
  for (std::size_t i = 0; i < first.size(); ++i) changes.push_back(second[i] - first[i]);
  Reliability out;
  out.mean_change = mean(changes);
  out.typical_error = standard_deviation(changes) / std::numbers::sqrt2;
  out.variation_percent = 100.0 * out.typical_error / (0.5 * (mean(first) + mean(second)));
  out.between_sd = standard_deviation(first);
  out.smallest_worthwhile = kSmallestWorthwhileShare * out.between_sd;
  out.minimum_detectable = kPublished95 * std::numbers::sqrt2 * out.typical_error;
  return out;
}

double student_t_95(double freedom) {
  if (!(freedom > 0.0)) {
    throw Error(ErrorCode::kUsage,
                "student_t_95",
                fmt::format("{} degrees of freedom", freedom),
                "Give more than none");
  }
  return boost::math::quantile(boost::math::students_t_distribution<double>(freedom), 0.975);
}

}  // namespace kinetics
