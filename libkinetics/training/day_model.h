#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Core>

/// The model behind a comparison: session means that were measured with known errors, scatter by
/// themselves, and share what happens to all on their day.

namespace kinetics {

/// y = X b + g(day) + e,  g ~ N(0, day variance),  e_i ~ N(0, scatter variance + own_i).
struct DayData {
  Eigen::MatrixXd x;  ///< one row a mean; full column rank
  Eigen::VectorXd y;
  Eigen::VectorXd own_variance;  ///< of each mean's own error, known
  std::vector<int> day;          ///< 0, 1, 2 … for each row
};

struct DayFit {
  Eigen::VectorXd beta;
  Eigen::MatrixXd covariance;     ///< of beta
  double scatter_variance = 0.0;  ///< of e besides the own errors
  double day_variance = 0.0;
  double minus_two_log_reml = 0.0;
  Eigen::MatrixXd inverse;  ///< of the rows' covariance as fitted
};

/// Restricted maximum likelihood (profile/mixed_model.h), both variances at least zero.
///
/// Accuracy  as lme4 finds it (tests/oracle/day_model.R).
/// Errors    Error{kInternal} when X has not full rank, or no more rows than columns.
[[nodiscard]] DayFit fit_days(const DayData& data);

/// Variance of a'y under the fitted model, for any weights a: the part of the days, the part of the
/// scatter, and that of the known own errors.
struct VarianceParts {
  double day = 0.0;
  double scatter = 0.0;
  double own = 0.0;
  [[nodiscard]] double sum() const { return day + scatter + own; }
};
[[nodiscard]] VarianceParts variance_of(const DayData& data,
                                        const DayFit& fit,
                                        const Eigen::VectorXd& a);

/// Weights a with a'y = c'b.
[[nodiscard]] Eigen::VectorXd weights_of(const DayData& data,
                                         const DayFit& fit,
                                         const Eigen::VectorXd& c);

}  // namespace kinetics
