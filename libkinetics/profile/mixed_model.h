#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Core>

/// Linear mixed models: lines that differ from group to group (lifters), and what the rows of one
/// cluster (a day) have in common.

namespace kinetics {

/// One group's rows:  y = fixed · beta + random · b + u[cluster] + e.
///
/// b ~ N(0, group_covariance) is the group's own, u ~ N(0, cluster_sd²) the cluster's,
/// e ~ N(0, residual_sd² + known_variance).
struct MixedGroup {
  Eigen::VectorXd y;
  Eigen::MatrixXd fixed;           ///< a row each, as many columns in all groups
  Eigen::MatrixXd random;          ///< 0 to 2 columns
  std::vector<int> cluster;        ///< of each row, from 0; empty: no clusters
  Eigen::VectorXd known_variance;  ///< of each row's measurement; empty: none
};

enum class Likelihood {
  kRestricted,  ///< REML: unbiased variances where there is such an estimate
  kFull,
};

struct MixedOptions {
  Likelihood likelihood = Likelihood::kRestricted;
  bool with_clusters = true;  ///< false: cluster_sd is zero
};

struct MixedFit {
  Eigen::VectorXd beta;
  Eigen::MatrixXd beta_covariance;
  Eigen::MatrixXd group_covariance;
  double cluster_sd = 0.0;
  double residual_sd = 0.0;
  double criterion = 0.0;                ///< minus twice the logarithm of the likelihood
  std::vector<Eigen::VectorXd> effects;  ///< b of each group, predicted
  /// The deviations as the search moves them: ln residual_sd; then the lower triangle of the group
  /// covariance's Cholesky factor, column by column, and cluster_sd, all over residual_sd.
  Eigen::VectorXd parameters;
  Eigen::MatrixXd parameter_covariance;  ///< from the criterion's curvature
  bool converged = false;
};

/// Fits by maximum (restricted) likelihood.
///
/// Shape     one group or more; together more rows than columns of `fixed`, of full rank.
/// Accuracy  lme4's sleepstudy fit to six digits (tests/profile/mixed_model_test.cpp).
/// Errors    Error{kInternal} for matrices that do not fit each other. A deviation that the rows do
///           not show is zero.
/// Cost      O(rows) a step; some tens of steps.
/// Source    N. M. Laird, J. H. Ware, Biometrics 1982; 38:963-974; parameters as in D. Bates et
///           al., J Stat Softw 2015; 67(1).
[[nodiscard]] MixedFit fit_mixed(const std::vector<MixedGroup>& groups,
                                 const MixedOptions& options = {});

/// The model's covariance of one group's rows if the deviations were those that `parameters` stand
/// for: what intervals are made from.
[[nodiscard]] Eigen::MatrixXd row_covariance(const MixedGroup& group,
                                             const Eigen::VectorXd& parameters,
                                             bool with_clusters);

/// Covariance of beta if the deviations were those that `parameters` stand for.
[[nodiscard]] Eigen::MatrixXd beta_covariance(const std::vector<MixedGroup>& groups,
                                              const Eigen::VectorXd& parameters,
                                              const MixedOptions& options = {});

/// Group covariance, cluster and residual deviation that `parameters` stand for.
struct Deviations {
  Eigen::MatrixXd group_covariance;
  double cluster_sd = 0.0;
  double residual_sd = 0.0;
};
[[nodiscard]] Deviations deviations_of(const Eigen::VectorXd& parameters,
                                       std::size_t random_columns,
                                       bool with_clusters);

}  // namespace kinetics
