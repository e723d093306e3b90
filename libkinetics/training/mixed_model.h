#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Core>

/// A linear mixed model with one grouping: means that were measured with known errors, which also
/// scatter by themselves and share what happens to their whole group (a day).

namespace kinetics {

/// y = X b + g(group) + e,  g ~ N(0, group variance),  e_i ~ N(0, scatter variance + own_i).
struct MixedData {
  Eigen::MatrixXd x;  ///< one row a mean; full column rank
  Eigen::VectorXd y;
  Eigen::VectorXd own_variance;  ///< of each mean's own error, known
  std::vector<int> group;        ///< 0, 1, 2 … for each row
};

struct MixedFit {
  Eigen::VectorXd beta;
  Eigen::MatrixXd covariance;     ///< of beta
  double scatter_variance = 0.0;  ///< of e besides the own errors
  double group_variance = 0.0;
  double minus_two_log_reml = 0.0;
  std::size_t rows = 0;
  std::size_t groups = 0;
};

/// Restricted maximum likelihood, both variances at least zero.
///
/// Accuracy  as lme4 and nlme find it, within 1e-6 of the standard deviations and 1e-8 of the
///           coefficients (tests/oracle/mixed_model.R).
/// Errors    Error{kInternal} when X has not full rank or fewer rows than columns + 1.
/// Source    D. A. Harville, J Am Stat Assoc 1977; 72:320-338 (from memory).
[[nodiscard]] MixedFit fit_mixed(const MixedData& data);

/// Variance of a'y under the fitted model, for any weights a: the part of the groups, the part of
/// the scatter, and that of the known own errors.
struct VarianceParts {
  double group = 0.0;
  double scatter = 0.0;
  double own = 0.0;
  [[nodiscard]] double sum() const { return group + scatter + own; }
};
[[nodiscard]] VarianceParts variance_of(const MixedData& data,
                                        const MixedFit& fit,
                                        const Eigen::VectorXd& a);

/// Weights a with a'y = c'b.
[[nodiscard]] Eigen::VectorXd weights_of(const MixedData& data,
                                         const MixedFit& fit,
                                         const Eigen::VectorXd& c);

}  // namespace kinetics
