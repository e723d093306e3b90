#pragma once

#include <vector>

#include <Eigen/Core>

/// Straight lines that a few wild points do not move, and which points those are.

namespace kinetics {

/// Slope: the middle one of all pairs of points with different x.
struct TheilSenLine {
  double slope = 0.0;
  double intercept_of_medians = 0.0;    ///< median y less slope times median x
  double intercept_of_residuals = 0.0;  ///< median of y less slope times x (Sen)
};

/// Shape   as many x as y, at least two different x; else Error{kInternal}.
/// Cost    O(n²).
/// Source  H. Theil, Proc K Ned Akad Wet A 1950; 53:386-392; P. K. Sen, J Am Stat Assoc 1968;
///         63:1379-1389 (both from memory).
[[nodiscard]] TheilSenLine theil_sen(const Eigen::VectorXd& x, const Eigen::VectorXd& y);

struct RobustLine {
  double intercept = 0.0;
  double slope = 0.0;
  double scale = 0.0;         ///< deviation about the line, from the median of the residuals
  std::vector<bool> outlier;  ///< of each point
};

struct OutlierOptions {
  double deviations = 4.0;   ///< an outlier lies further off than so many deviations
  double least_scale = 0.0;  ///< the deviation is taken to be at least this
};

/// Tukey's biweight from the Theil-Sen line; the deviation is 1.4826 times the median residual,
/// made larger for few points.
///
/// `sigma` is each point's known standard error, counted besides the common deviation; may be
/// empty. No point is called an outlier unless outliers can be told.
///
/// Source  P. J. Huber, Ann Math Stat 1964; 35:73-101, for the method (from memory).
[[nodiscard]] RobustLine robust_line(const Eigen::VectorXd& x,
                                     const Eigen::VectorXd& y,
                                     const Eigen::VectorXd& sigma,
                                     const OutlierOptions& options);

/// Whether these points can tell which of them is wild: five or more at three different x. Two or
/// three points always lie near some line.
[[nodiscard]] bool can_tell_outliers(const Eigen::VectorXd& x);

}  // namespace kinetics
