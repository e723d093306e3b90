#pragma once

#include <functional>
#include <limits>

#include <Eigen/Core>

/// Least squares for a curve of any form, straight ones too; resistant to outliers when asked.

namespace kinetics {

/// A curve with parameters. Gives the value at one row of `x`; when `gradient` is not null it also
/// sets the derivatives with respect to the parameters.
using CurveModel = std::function<double(
    const Eigen::RowVectorXd& x, const Eigen::VectorXd& parameters, Eigen::VectorXd* gradient)>;

struct CurveRows {
  Eigen::MatrixXd x;
  Eigen::VectorXd y;
  Eigen::VectorXd sigma;  ///< standard error of each y up to a common factor; empty: all alike
};

struct CurveOptions {
  /// Residuals of more than so many `sigma` stop counting, nearer ones count less and less
  /// (Tukey's biweight); infinite: plain least squares. 4.685 keeps 95 % of the efficiency on
  /// normal errors.
  double tukey_sigmas = std::numeric_limits<double>::infinity();
  int most_steps = 1000;
};

struct CurveFit {
  Eigen::VectorXd parameters;
  Eigen::MatrixXd covariance;  ///< plain least squares only, scaled by residual_sd
  double rss = 0.0;            ///< sum of squares of residual over sigma
  double residual_sd = 0.0;    ///< over sigma
  double degrees = 0.0;        ///< rows less parameters
  bool converged = false;
};

/// Fits from a start (Ceres, dense QR, then undamped steps on scaled columns).
///
/// Shape     as many rows in x, y and sigma; at least as many rows as parameters.
/// Accuracy  NIST StRD certified values: tests/profile/nist_test.cpp prints the digits.
/// Errors    Error{kInternal} for sizes that do not fit; a fit that does not settle says so.
[[nodiscard]] CurveFit fit_curve(const CurveModel& model,
                                 const CurveRows& rows,
                                 const Eigen::VectorXd& start,
                                 const CurveOptions& options = {});

/// c0 + c1 x + c2 x² … in the first column of x.
[[nodiscard]] CurveModel polynomial();

}  // namespace kinetics
